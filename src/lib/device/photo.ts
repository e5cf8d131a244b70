/** A photo as it is kept; see `photos.ts` for how it is made. */
export interface Photo {
  /** Hex SHA-256 of `bytes`: the name by which entries know it. */
  readonly sha256: string;
  /** A baseline JPEG without metadata. */
  readonly bytes: Uint8Array;
  readonly width: number;
  readonly height: number;
  /** See `sharpness.ts`; below `BLURRED_BELOW` it is worth asking for another. */
  readonly sharpness: number;
}
