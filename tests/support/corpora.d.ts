/** Collections that come without types of their own. */
declare module 'big-list-of-naughty-strings' {
  const strings: readonly string[];
  export default strings;
}
