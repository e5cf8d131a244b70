// The part that is used here; the framework's own declarations pull the types of a page in.
declare module '$service-worker' {
  /** The path that the app is served below, without a slash at the end. */
  export const base: string;
  /** Every file that the builder made, as an address. */
  export const build: string[];
  /** Every file of static/. */
  export const files: string[];
  /** Every page written at build time. */
  export const prerendered: string[];
  /** The name of the build: other sources, another name. */
  export const version: string;
}
