import { expect, test } from 'vitest';
import { agree, compareBags, holdTogether } from '#lib/core/bag/compare.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import type { BagReport } from '#lib/core/bag/summary.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import type { Order } from '#lib/core/job/commands.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import {
  lampBag,
  lampPieces,
  packed,
  sealAll,
  eventsOf,
  trusted,
  wholeJob,
} from '../../../support/a-bag.ts';
import { resealed, takenApart, withRecord } from '../../../support/attacker.ts';

const report = (bag: Uint8Array): Promise<BagReport> => verifyBag(bag, trusted, nodePrimitives);
const of = async (orders: readonly Order[]): Promise<BagReport> =>
  report(
    await packed(recordFolderFiles({ ...(await lampPieces(orders)), photos: [] }), {
      photos: [],
    }),
  );

const parted = await of(wholeJob.slice(0, 3));
const whole = await report(await lampBag());

test('a bag is the same as itself, whatever is withheld from either', async () => {
  const withheld = await report(await lampBag({ withhold: ['site'], language: 'es' }));
  const found = compareBags(whole, withheld);
  expect(found).toMatchObject({ kind: 'same', entries: 14, sound: true });
  expect(agree(found)).toBe(true);
});

test('a later bag is a continuation of an earlier one, from either side', () => {
  expect(parted.conclusion).toBe('endNotProven');
  const there = compareBags(parted, whole);
  expect(there).toMatchObject({ kind: 'continues', longer: 'second', shared: 3, more: 11 });
  expect(compareBags(whole, parted)).toMatchObject({
    kind: 'continues',
    longer: 'first',
    more: 11,
  });
  expect(agree(there)).toBe(true);
  // The later one shows where the earlier went on; without a later one its end stays open.
  expect(holdTogether(parted, whole, there)).toBe(true);
  expect(holdTogether(parted, parted, compareBags(parted, parted))).toBe(false);
});

test('two stories of one job fork at the entry where they part, and neither is believed', async () => {
  const other = await of([...wholeJob.slice(0, 2), { command: 'nearMiss', what: 'a spark' }]);
  const found = compareBags(parted, other);
  expect(found).toMatchObject({ kind: 'forks', from: 2, sound: true });
  expect(found.says).toContain('from entry 2 on');
  expect(agree(found)).toBe(false);
});

test('a line in the middle is compared, not only the last, and a bag that fails says so', async () => {
  const contents = await takenApart(await lampBag());
  const { sealed } = await sealAll(eventsOf(wholeJob));
  const swapped = sealed.map((each, seq) => (seq === 5 ? (sealed[4] ?? each) : each));
  withRecord(contents, swapped);
  const found = compareBags(whole, await report(await resealed(contents)));
  expect(found).toMatchObject({ kind: 'forks', from: 5, sound: false });
  expect(found.says).toContain('do not rely on this');
});

test('another job is no continuation, and a file that is no bag is not compared', async () => {
  const sealed = (whole.bag?.sealed ?? []).map((each) => ({
    ...each,
    entry: { ...each.entry, job: '019ac0de-7000-7abc-8def-0123456789ac' },
  }));
  const bag = whole.bag === null ? null : { ...whole.bag, sealed };
  expect(compareBags(whole, { ...whole, bag })).toMatchObject({ kind: 'otherJob' });
  const none = await report(new Uint8Array(100));
  expect(compareBags(whole, none)).toMatchObject({ kind: 'unreadable', which: 'second' });
  expect(agree(compareBags(none, whole))).toBe(false);
});
