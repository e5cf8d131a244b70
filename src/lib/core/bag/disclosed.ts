/** `disclosures.jsonl`: reading it, and choosing what a bag does not show. */
import { utf8 } from '../record/bytes.ts';
import { linesOf } from '../record/chain.ts';
import { parseCanonical } from '../record/canonical.ts';
import type { Json } from '../record/canonical.ts';
import { readDisclosure } from '../record/disclosures.ts';
import type { KeptDisclosure } from '../record/disclosures.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { Primitives } from '../record/primitives.ts';

const LINE = { bytes: 64 * 1024, depth: 2, numbers: 'integers' } as const;

/** Reads every line; the first bad one is the flaw. */
export function readDisclosures(
  bytes: Uint8Array,
  primitives: Pick<Primitives, 'sha256'>,
): Outcome<readonly KeptDisclosure[]> {
  if (bytes.length > 0 && bytes[bytes.length - 1] !== 0x0a) {
    return flawed('bad-encoding', 'The last disclosure is not ended by a line feed.');
  }
  const kept: KeptDisclosure[] = [];
  for (const line of linesOf(bytes)) {
    const read = readLine(line, primitives);
    if (!read.ok) return flawed(read.flaw.code, `Line ${kept.length + 1}: ${read.flaw.says}`);
    kept.push(read.value);
  }
  return good(kept);
}

function readLine(
  line: Uint8Array,
  primitives: Pick<Primitives, 'sha256'>,
): Outcome<KeptDisclosure> {
  const read = parseCanonical(line, LINE);
  if (!read.ok) return read;
  const value = read.value as { readonly [name: string]: Json } | null;
  const [encoded, seq] = [value?.['disclosure'], value?.['seq']];
  const named = typeof value === 'object' && value !== null && Object.keys(value).length === 2;
  if (!named || typeof encoded !== 'string' || typeof seq !== 'number' || seq < 0) {
    return flawed('bad-field', 'It is not an object of exactly “disclosure” and “seq”.');
  }
  const disclosure = readDisclosure(encoded, primitives);
  return disclosure.ok ? good({ ...disclosure.value, seq }) : disclosure;
}

/** Does a field that somebody named mean this private value? `name` means `name` and `name.mara`. */
function means(field: string, name: string): boolean {
  return name === field || name.startsWith(`${field}.`);
}

/**
 * The disclosures without those withheld. Every field must name something that is there: a slip in a
 * name must not hand out the very thing that was to be kept back.
 */
export function withoutWithheld(
  kept: readonly KeptDisclosure[],
  fields: readonly string[],
): Outcome<readonly KeptDisclosure[]> {
  for (const field of fields) {
    if (!kept.some(({ name }) => means(field, name))) {
      const there = [...new Set(kept.map(({ name }) => name))].sort().join(', ');
      return flawed(
        'bad-field',
        `There is no private value “${field}” to withhold; there are: ${there || 'none'}.`,
      );
    }
  }
  return good(kept.filter(({ name }) => !fields.some((field) => means(field, name))));
}

/** The bytes of `disclosures.jsonl`, each disclosure in the encoding that was hashed. */
export function disclosuresBytes(kept: readonly KeptDisclosure[]): Uint8Array {
  const lines = kept.map(({ encoded, seq }) => `{"disclosure":"${encoded}","seq":${seq}}\n`);
  return utf8(lines.join(''));
}
