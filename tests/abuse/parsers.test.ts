/** Every parser against inputs made from good ones, by a fixed seed; `npm run fuzz` goes on for longer. */
import { describe, expect, it } from 'vitest';
import { mutated } from '../fuzz/mutate.ts';
import { PARSERS } from '../fuzz/parsers.ts';
import { ownTime } from '../support/own-time.ts';
import { seeded } from '../support/seeded.ts';

const INPUTS = 400;
/** Longest for one input of up to 64 KiB, in ms of our own work; far from what is measured, near enough for a blow-up. */
const SLOW = 5000;

describe.each(PARSERS)('the parser of a $name', ({ seeds, read, name }) => {
  it('accepts what the others are made from', async () => {
    for (const seed of seeds.slice(0, 1)) expect(await read(seed)).toBe('accepted');
  });

  it('answers in words whatever it is given, in time', async () => {
    const random = seeded([...name].reduce((sum, letter) => sum * 31 + letter.charCodeAt(0), 7));
    let refused = 0;
    let slowest = 0;
    for (let turn = 0; turn < INPUTS; turn += 1) {
      const input = mutated(seeds, random);
      const before = ownTime();
      const heard = await Promise.resolve(read(input)).catch((error: unknown) => {
        throw new Error(`on ${Buffer.from(input).toString('base64')}`, { cause: error });
      });
      slowest = Math.max(slowest, ownTime() - before);
      if (heard === 'refused') refused += 1;
    }
    expect(refused).toBeGreaterThan(INPUTS / 20);
    expect(slowest).toBeLessThan(SLOW);
  });
});
