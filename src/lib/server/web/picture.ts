/** Pictures from strangers, shown to people who are signed in. */

/** SOI and the begin of the next marker: ISO/IEC 10918-1, B.1.1.3. */
export const startsAsJpeg = (bytes: Uint8Array): boolean =>
  bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff;

/** Nothing in it runs, whatever a browser may take it for. */
export const pictureHeaders: Readonly<Record<string, string>> = {
  'Content-Type': 'image/jpeg',
  'Content-Disposition': 'inline; filename="photo.jpg"',
  'Content-Security-Policy': "default-src 'none'; sandbox",
  'X-Content-Type-Options': 'nosniff',
  'Cache-Control': 'private, max-age=3600',
};
