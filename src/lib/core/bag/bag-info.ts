/** `bag-info.txt` (RFC 8493 section 2.2.2): label, colon, space, value; ours never folds a line. */

export const BAG_FORMAT = '1';

/** A photo left out, or shown with a part made unreadable. */
export interface PhotoChange {
  /** Digest that the record names. */
  readonly sha256: string;
  /** Digest of what stands in its place; absent when nothing does. */
  readonly shownAs?: string;
}

export interface BagInfo {
  readonly job: string;
  /** `YYYY-MM-DD`. */
  readonly date: string;
  readonly software: string;
  readonly entries: number;
  /** Hash of the last entry, hex. */
  readonly head: string;
  /** Thumbprint of the key that sealed the bag. */
  readonly sealedBy: string;
  readonly demonstration: boolean;
  readonly photos: readonly PhotoChange[];
  readonly octets: number;
  readonly streams: number;
}

export function bagInfoText(info: BagInfo): string {
  const lines = [
    `Bag-Software-Agent: Stillwire ${info.software}`,
    `Bagging-Date: ${info.date}`,
    `External-Identifier: ${info.job}`,
    `Payload-Oxum: ${info.octets}.${info.streams}`,
    `Stillwire-Format: ${BAG_FORMAT}`,
    `Stillwire-Entries: ${info.entries}`,
    `Stillwire-Head: ${info.head}`,
    `Stillwire-Sealed-By: ${info.sealedBy}`,
    ...(info.demonstration ? ['Stillwire-Demonstration: yes'] : []),
    ...info.photos.map(({ sha256, shownAs }) =>
      shownAs === undefined
        ? `Stillwire-Photo-Withheld: ${sha256}`
        : `Stillwire-Photo-Blurred: ${sha256} ${shownAs}`,
    ),
  ];
  return lines.map((line) => `${line}\n`).join('');
}

const DIGEST = /^[0-9a-f]{64}$/;
const BLURRED = /^([0-9a-f]{64}) ([0-9a-f]{64})$/;

/** Reads it back, or says what is wrong: every label known, in the order and number it is written. */
export function readBagInfo(text: string): BagInfo | string {
  const values = new Map<string, string[]>();
  const lines = text.split('\n');
  if (lines.pop() !== '') return 'its last line is not ended';
  for (const line of lines) {
    const found = /^([A-Za-z-]+): (\S.*)$/.exec(line);
    if (found?.[1] === undefined || found[2] === undefined) return 'a line is not label and value';
    values.set(found[1], [...(values.get(found[1]) ?? []), found[2]]);
  }
  const one = (label: string): string => values.get(label)?.[0] ?? '';
  if (one('Stillwire-Format') !== BAG_FORMAT) {
    return `it is of format “${one('Stillwire-Format')}”, and this program reads format ${BAG_FORMAT}: update to read it`;
  }
  const photos: PhotoChange[] = [];
  for (const sha256 of values.get('Stillwire-Photo-Withheld') ?? []) {
    if (!DIGEST.test(sha256)) return 'a withheld photo is not named by its digest';
    photos.push({ sha256 });
  }
  for (const pair of values.get('Stillwire-Photo-Blurred') ?? []) {
    const found = BLURRED.exec(pair);
    if (found?.[1] === undefined || found[2] === undefined) {
      return 'a blurred photo is not named by two digests';
    }
    photos.push({ sha256: found[1], shownAs: found[2] });
  }
  const [octets = '', streams = ''] = one('Payload-Oxum').split('.');
  const info: BagInfo = {
    job: one('External-Identifier'),
    date: one('Bagging-Date'),
    software: one('Bag-Software-Agent').replace(/^Stillwire /, ''),
    entries: Number(one('Stillwire-Entries')),
    head: one('Stillwire-Head'),
    sealedBy: one('Stillwire-Sealed-By'),
    demonstration: one('Stillwire-Demonstration') === 'yes',
    photos,
    octets: Number(octets),
    streams: Number(streams),
  };
  // One comparison for all the rest: unknown labels, repeats, order, numbers spelt another way.
  return bagInfoText(info) === text
    ? info
    : 'it has labels or values that this format does not have';
}
