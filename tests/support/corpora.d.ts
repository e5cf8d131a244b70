/** Packages that come without types of their own. */
declare module 'big-list-of-naughty-strings' {
  const strings: readonly string[];
  export default strings;
}
declare module 'hypercore' {
  export default class Hypercore {
    constructor(folder: string);
    ready(): Promise<void>;
    append(block: Uint8Array | readonly Uint8Array[]): Promise<unknown>;
    close(): Promise<void>;
    readonly core: {
      /** Null when its roots are missing. */
      audit(options: { readonly dryRun: boolean }): Promise<{
        readonly blocks: number;
        readonly bits: number;
        readonly droppedTreeNodes: number;
        readonly droppedBlocks: number;
        readonly corrupt: boolean;
      } | null>;
    };
  }
}
