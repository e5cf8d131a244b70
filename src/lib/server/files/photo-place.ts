/** Where whole photos go when they are not to stay in the database. */

export interface PhotoPlace {
  /** Resolves when the bytes are kept for good. @throws PlaceTrouble */
  keep(sha256: string, bytes: Uint8Array, type: string): Promise<void>;
  /** What is kept under this name; null: nothing is. @throws PlaceTrouble */
  look(sha256: string): Promise<KeptPhoto | null>;
  /** Its bytes; none when nothing is kept. @throws PlaceTrouble */
  read(sha256: string): AsyncGenerator<Uint8Array>;
}

export interface KeptPhoto {
  readonly size: number;
  readonly type: string;
}

/** The place does not answer, or says no: one sentence for the operator. */
export class PlaceTrouble extends Error {
  override readonly name = 'PlaceTrouble';
}
