/**
 * Each thing that somebody may do to a bag, and the check that catches it. The attacker seals again with
 * their own key, so that manifests and seal never catch it for the others; an insider signs with a key
 * that is trusted. Where one check stands alone, blinding it lets the attack through: none is spare.
 */
import { describe, expect, it } from 'vitest';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import type { KeyList } from '#lib/core/bag/keys.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { held } from '#lib/core/bag/report.ts';
import type { CheckId } from '#lib/core/bag/report.ts';
import { shownBytes, wordsShown } from '#lib/core/bag/shown.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { base64url, fromHex, utf8 } from '#lib/core/record/bytes.ts';
import { canonicalBytes } from '#lib/core/record/canonical.ts';
import { headOf, manifestOf } from '#lib/core/record/chain.ts';
import { signCheckpoint } from '#lib/core/record/checkpoint.ts';
import type { Body } from '#lib/core/record/entry.ts';
import { receiptText } from '#lib/core/record/receipt.ts';
import { sealEntry } from '#lib/core/record/sealed.ts';
import type { EntryFields, Head, SealedEntry } from '#lib/core/record/sealed.ts';
import { inclusionProof, rootAt, treeOf } from '#lib/core/record/tree.ts';
import { entryFields, maraKey, sealNext, tomasKey } from '../support/a-record.ts';
import {
  after,
  before,
  eventsOf,
  knownKey,
  lampChecklist,
  lampPieces,
  packed,
  sealAll,
  trusted,
  wholeJob,
} from '../support/a-bag.ts';
import {
  refront,
  resealed,
  takenApart,
  withKeys,
  withRecord,
  zipped,
} from '../support/attacker.ts';
import type { Contents } from '../support/attacker.ts';

const pieces = await lampPieces();
const { sealed } = pieces;
const bag = await packed(recordFolderFiles(pieces));
const fresh = await takenApart(bag);
const logKey = keyOfSeed(new Uint8Array(32).fill(77));
const origin = 'log.example/crew1';
const otherJob = '019ac0de-7000-7abc-8def-0123456789ff';
const trust: KeyList = { ...trusted, logs: [{ name: origin, publicKey: logKey.publicKey }] };

/** Changes a copy of the bag's contents, makes the front page again, and seals it as an attacker. */
async function attacked(change: (contents: Contents) => void | Promise<void>): Promise<Uint8Array> {
  const contents = new Map(fresh);
  await change(contents);
  await refront(contents);
  return resealed(contents);
}

/** Another record in place of this one. */
const another = (record: readonly SealedEntry[]): Promise<Uint8Array> =>
  attacked((contents) => withRecord(contents, record));

/** Seals events with any head, as an insider with a good key can. */
async function insider(
  events: readonly JobEvent[],
  lie: (
    fields: EntryFields,
    head: Head | null,
    seq: number,
  ) => [EntryFields, Head | null] | null = () => null,
  key = maraKey,
): Promise<SealedEntry[]> {
  const record: SealedEntry[] = [];
  for (const [seq, event] of events.entries()) {
    const honest = sealed[seq]?.entry;
    const { at, mono, boot, by } = event;
    const manifest = { ...manifestOf(record, key.key) };
    const body = (event.type === 'job.closed' ? { ...event.body, manifest } : event.body) as Body;
    const digests = honest?._sd === undefined ? {} : { _sd: honest._sd };
    const fields = entryFields(event.type, body, { at, mono, boot, by, ...digests });
    const last = record.at(-1);
    const head = last === undefined ? null : headOf(last);
    const [told, upon] = lie(fields, head, seq) ?? [fields, head];
    const made = await sealEntry(told, upon, key, nodePrimitives);
    if (!made.ok) throw new Error(made.flaw.says);
    record.push(made.value);
  }
  return record;
}
const events = eventsOf(wholeJob);

const text = (contents: Contents, path: string): string =>
  Buffer.from(contents.get(path) ?? '').toString();

const leaves = sealed.map(({ hash }) => fromHex(hash) ?? new Uint8Array());
async function receiptOf(seq: number, spoil = false): Promise<Uint8Array> {
  const { nodeAt, size } = treeOf(leaves, nodePrimitives);
  const root = rootAt(size, nodeAt, nodePrimitives);
  if (spoil) root[0] = (root[0] ?? 0) ^ 1;
  const note = await signCheckpoint(
    { origin, size, root },
    logKey.publicKey,
    logKey.sign,
    nodePrimitives,
  );
  if (!note.ok) throw new Error(note.flaw.says);
  return utf8(receiptText(seq, inclusionProof(seq, size, nodeAt, nodePrimitives), note.value));
}

interface Attack {
  readonly what: string;
  readonly check: CheckId;
  /** No other check catches it. */
  readonly alone: boolean;
  make(): Uint8Array | Promise<Uint8Array>;
}

const attacks: readonly Attack[] = [
  {
    what: 'a file changed in the archive, its sum left',
    check: 'archive',
    alone: true,
    make: () => {
      const bytes = bag.slice();
      const at = Buffer.from(bytes).indexOf('"seq":5');
      bytes[at + 6] = '6'.charCodeAt(0);
      return bytes;
    },
  },
  {
    what: 'a file changed, manifests left',
    check: 'manifest',
    alone: true,
    make: () => {
      const contents = new Map(fresh);
      contents.set(
        'data/how-to-check.txt',
        utf8(text(fresh, 'data/how-to-check.txt').replace('OK', 'KO')),
      );
      return zipped(contents);
    },
  },
  {
    what: 'the seal made by a key that the bag does not know',
    check: 'manifest',
    alone: true,
    make: () => resealed(new Map(fresh), { unlisted: true }),
  },
  {
    what: 'a count in bag-info.txt changed',
    check: 'bag',
    alone: true,
    make: () =>
      resealed(new Map(fresh), { info: (info) => info.replace('Entries: 14', 'Entries: 15') }),
  },
  {
    what: 'a file slipped into the bag and listed',
    check: 'bag',
    alone: true,
    make: () => attacked((contents) => void contents.set('data/extra.txt', utf8('read me'))),
  },
  {
    what: 'the mark of a demonstration taken off the bag',
    check: 'bag',
    alone: true,
    make: () =>
      resealed(new Map(fresh), {
        info: (info) => info.replace(/(Sealed-By: .*\n)/, '$1Stillwire-Demonstration: yes\n'),
      }),
  },
  {
    what: 'everything signed again by another key in the same name',
    check: 'keys',
    alone: true,
    make: async () => {
      const forger = keyOfSeed(new Uint8Array(32).fill(13));
      const record = await insider(events, undefined, forger);
      return attacked((contents) => {
        withRecord(contents, record);
        withKeys(contents, [knownKey(forger, 'mara')]);
      });
    },
  },
  {
    what: 'an entry by one person signed with the key of another',
    check: 'keys',
    alone: true,
    make: async () => {
      const record = await insider([...events.slice(0, 13), { ...(events[13] as JobEvent) }]);
      const note = await sealNext(
        record,
        entryFields(
          'amended',
          { about: 'switch', text: 'all well' },
          { by: 'tomas', at: '2026-11-25T10:05:00.000-05:00', mono: 305_000 },
        ),
      );
      return attacked((contents) => {
        withRecord(contents, [...record, note]);
        withKeys(contents, [knownKey(maraKey, 'mara'), knownKey(tomasKey, 'tomas')]);
      });
    },
  },
  {
    what: 'an entry with a field that no version has',
    check: 'record.form',
    alone: true,
    make: async () =>
      another(
        await insider(events, (fields, head, seq) =>
          seq === 1 ? [{ ...fields, body: { ...fields.body, extra: 1 } }, head] : null,
        ),
      ),
  },
  {
    what: 'one byte of an entry changed',
    check: 'record.signatures',
    alone: false,
    make: () =>
      attacked((contents) => {
        const record = text(contents, 'data/record.jsonl');
        contents.set(
          'data/record.jsonl',
          utf8(record.replace('"shown":"119.6"', '"shown":"119.7"')),
        );
      }),
  },
  {
    what: 'an entry removed',
    check: 'record.order',
    alone: false,
    make: () => another(sealed.filter((_, at) => at !== 3)),
  },
  {
    what: 'two entries swapped',
    check: 'record.order',
    alone: false,
    make: () =>
      another([0, 1, 3, 2, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13].flatMap((at) => sealed[at] ?? [])),
  },
  {
    what: 'an entry twice',
    check: 'record.order',
    alone: false,
    make: () => another([...sealed.slice(0, 4), ...sealed.slice(3)]),
  },
  {
    what: 'an entry of another job put in',
    check: 'record.order',
    alone: false,
    make: async () => {
      const fields = entryFields('step.done', { step: 'x', result: {} }, { job: otherJob });
      const foreign = await sealNext(sealed.slice(0, 4), fields);
      return another([...sealed.slice(0, 4), foreign, ...sealed.slice(5)]);
    },
  },
  {
    what: 'a number left out by an insider who chains on',
    check: 'record.order',
    alone: true,
    make: async () =>
      another(
        await insider(events, (fields, head, seq) =>
          seq === 12 && head !== null ? [fields, { ...head, seq: head.seq + 1 }] : null,
        ),
      ),
  },
  {
    what: 'an entry chained by an insider to a line that is not there',
    check: 'record.chain',
    alone: true,
    make: async () =>
      another(
        await insider(events, (fields, head, seq) =>
          seq === 12 && head !== null ? [fields, { ...head, hash: 'ab'.repeat(32) }] : null,
        ),
      ),
  },
  {
    what: 'the last signature replaced by another',
    check: 'record.signatures',
    alone: true,
    make: () =>
      attacked((contents) => {
        const record = text(contents, 'data/record.jsonl');
        const other = sealed[3]?.sig ?? '';
        contents.set('data/record.jsonl', utf8(record.replace(sealed[13]?.sig ?? '', other)));
      }),
  },
  {
    what: 'a wall clock set back in the middle, nothing noted',
    check: 'record.clock',
    alone: true,
    make: async () =>
      another(
        await insider(events, (fields, head, seq) =>
          seq === 12 ? [{ ...fields, at: '2026-11-25T10:02:00.000-05:00' }, head] : null,
        ),
      ),
  },
  {
    what: 'a running clock that goes back',
    check: 'record.clock',
    alone: true,
    make: async () =>
      another(
        await insider(events, (fields, head, seq) =>
          seq === 12 ? [{ ...fields, mono: 1 }, head] : null,
        ),
      ),
  },
  {
    what: 'the end cut off',
    check: 'record.end',
    alone: true,
    make: () => another(sealed.slice(0, 13)),
  },
  {
    what: 'more of the end cut off',
    check: 'record.end',
    alone: true,
    make: () =>
      attacked((contents) => {
        withRecord(contents, sealed.slice(0, 6));
        contents.delete(`data/photos/${after.sha256}.jpg`);
      }),
  },
  {
    what: 'a closing entry whose manifest counts otherwise',
    check: 'record.end',
    alone: true,
    make: async () =>
      another(
        await insider(events, (fields, head) => {
          if (fields.type !== 'job.closed') return null;
          const manifest = { ...(fields.body['manifest'] as Body), entries: 12 };
          return [{ ...fields, body: { ...fields.body, manifest } }, head];
        }),
      ),
  },
  {
    what: 'the checklist replaced by a milder one',
    check: 'checklist',
    alone: true,
    make: () =>
      attacked((contents) => {
        const yaml = lampChecklist.yaml.replace(
          'Prove every pair dead',
          'Look whether it seems dead',
        );
        const loaded = loadChecklist(yaml);
        if (!loaded.ok) throw new Error('unreadable');
        contents.set('data/checklist.yaml', utf8(yaml));
        contents.set('data/checklist.json', canonicalBytes(loaded.json));
        contents.set('data/shown/en.json', shownBytes(wordsShown(loaded.checklist)));
      }),
  },
  {
    what: 'the words that were shown changed',
    check: 'checklist',
    alone: true,
    make: () =>
      attacked((contents) => {
        const words = wordsShown(lampChecklist.checklist);
        contents.set(
          'data/shown/en.json',
          shownBytes({ ...words, defer: 'No code applies here.' }),
        );
      }),
  },
  {
    what: 'a photo changed under its name',
    check: 'photos',
    alone: true,
    make: () =>
      attacked((contents) => void contents.set(`data/photos/${before.sha256}.jpg`, after.bytes)),
  },
  {
    what: 'two photos swapped',
    check: 'photos',
    alone: true,
    make: () =>
      attacked((contents) => {
        contents.set(`data/photos/${before.sha256}.jpg`, after.bytes);
        contents.set(`data/photos/${after.sha256}.jpg`, before.bytes);
      }),
  },
  {
    what: 'a photo taken away',
    check: 'photos',
    alone: true,
    make: () => attacked((contents) => void contents.delete(`data/photos/${after.sha256}.jpg`)),
  },
  {
    what: 'a private value changed',
    check: 'disclosures',
    alone: true,
    make: () =>
      attacked((contents) => {
        const lines = text(contents, 'data/disclosures.jsonl').split('\n');
        const value = base64url(utf8('["AgICAgICAgICAgICAgICAg","site","9 Elm Row"]'));
        contents.set(
          'data/disclosures.jsonl',
          utf8([lines[0], `{"disclosure":"${value}","seq":0}`, ''].join('\n')),
        );
      }),
  },
  {
    what: 'a private value moved to another entry',
    check: 'disclosures',
    alone: true,
    make: () =>
      attacked((contents) => {
        const moved = text(contents, 'data/disclosures.jsonl').replaceAll('"seq":0', '"seq":4');
        contents.set('data/disclosures.jsonl', utf8(moved));
      }),
  },
  {
    what: 'a receipt that leads to another tree',
    check: 'receipts',
    alone: true,
    make: () =>
      attacked(
        async (contents) =>
          void contents.set('data/receipts/5.tlog-proof', await receiptOf(5, true)),
      ),
  },
  {
    what: 'a receipt of another entry',
    check: 'receipts',
    alone: true,
    make: () =>
      attacked(
        async (contents) => void contents.set('data/receipts/5.tlog-proof', await receiptOf(6)),
      ),
  },
  {
    what: 'the end cut off, receipts left',
    check: 'receipts',
    alone: false,
    make: () =>
      attacked(async (contents) => {
        withRecord(contents, sealed.slice(0, 13));
        contents.set('data/receipts/13.tlog-proof', await receiptOf(13));
      }),
  },
  {
    what: 'a caption on the front page changed',
    check: 'front',
    alone: true,
    make: () => {
      const contents = new Map(fresh);
      contents.set(
        'data/front.html',
        utf8(text(fresh, 'data/front.html').replace('1 of 1 taken off', '2 of 2 taken off')),
      );
      return resealed(contents);
    },
  },
  {
    what: 'exposed work entered before the proof',
    check: 'safety.P1',
    alone: false,
    make: async () => {
      const [first, second] = [events[4], events[5]];
      if (first === undefined || second === undefined) throw new Error('short');
      const { at, mono } = first;
      const swapped = [
        ...events.slice(0, 4),
        { ...second, at, mono },
        { ...first, at: second.at, mono: second.mono },
        ...events.slice(6),
      ];
      return another(await insider(swapped));
    },
  },
  {
    what: 'power put back while a connector is off',
    check: 'safety.P2',
    alone: false,
    make: async () =>
      another(
        await insider(
          events.filter((event) => event.type !== 'step.done' || event.body.step !== 'rewire'),
        ),
      ),
  },
];

describe('the bag before anything was done to it', () => {
  it('holds', async () => {
    const report = await verifyBag(bag, trust, nodePrimitives);
    expect(report.checks.filter(({ status }) => status === 'failed')).toEqual([]);
    expect(report.ok).toBe(true);
  });

  it('holds, too, when it was only sealed again', async () => {
    const report = await verifyBag(await resealed(new Map(fresh)), trust, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.findings.map(({ code }) => code)).toContain('seal-key-untrusted');
  });

  it('holds with receipts of a log that is trusted', async () => {
    const bytes = await attacked(async (contents) => {
      for (const seq of [0, 5, 13])
        contents.set(`data/receipts/${seq}.tlog-proof`, await receiptOf(seq));
    });
    const report = await verifyBag(bytes, trust, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.checks.find(({ id }) => id === 'receipts')).toMatchObject({ status: 'held' });
  });
});

describe.each(attacks)('$what', ({ check, alone, make }) => {
  it(`is caught by ${check}`, async () => {
    const report = await verifyBag(await make(), trust, nodePrimitives);
    const failed = report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id);
    expect(failed).toContain(check);
    expect(report.ok).toBe(false);
    const verdict = report.checks.find(({ id }) => id === check);
    expect(verdict?.says).toMatch(/^[A-Z“].*[.)]/);
    expect(verdict?.findings.some(({ fails }) => fails)).toBe(true);
    if (alone) expect(failed).toEqual([check]);
  });

  it.runIf(alone && check !== 'archive')('and would pass if that check were blind', async () => {
    const checks = { [check]: () => held('blind') };
    const report = await verifyBag(await make(), trust, nodePrimitives, { checks });
    expect(report.ok).toBe(true);
  });
});

describe('with no list of trusted keys', () => {
  it('a bag signed throughout by a stranger holds together, and says that it proves nobody', async () => {
    const resigned = attacks.find(({ what }) => what.startsWith('everything signed again'));
    const report = await verifyBag(
      (await resigned?.make()) ?? new Uint8Array(),
      null,
      nodePrimitives,
    );
    expect(report.checks.find(({ id }) => id === 'keys')).toMatchObject({ status: 'notRun' });
    expect(report.says).toContain('not proven');
  });
});

describe('a bag of a job that is not finished', () => {
  it('is not cut, for all that can be seen, and its end is not proven', async () => {
    const { sealed: half, disclosures } = await sealAll(events.slice(0, 3));
    const files = recordFolderFiles({
      ...pieces,
      lines: half.map(({ line }) => line),
      disclosures,
      photos: [],
    });
    const report = await verifyBag(await packed(files), trust, nodePrimitives);
    expect(report).toMatchObject({ ok: false, conclusion: 'endNotProven' });
    expect(report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id)).toEqual([
      'record.end',
    ]);
  });

  it('is vouched for by a receipt of its last entry', async () => {
    const { sealed: half, disclosures } = await sealAll(events.slice(0, 3));
    const tree = treeOf(
      half.map(({ hash }) => fromHex(hash) ?? new Uint8Array()),
      nodePrimitives,
    );
    const root = rootAt(3, tree.nodeAt, nodePrimitives);
    const note = await signCheckpoint(
      { origin, size: 3, root },
      logKey.publicKey,
      logKey.sign,
      nodePrimitives,
    );
    const receipt = receiptText(
      2,
      inclusionProof(2, 3, tree.nodeAt, nodePrimitives),
      note.ok ? note.value : '',
    );
    const files = recordFolderFiles({
      ...pieces,
      lines: half.map(({ line }) => line),
      disclosures,
      photos: [],
      receipts: new Map([[2, utf8(receipt)]]),
    });
    const report = await verifyBag(await packed(files), trust, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.checks.find(({ id }) => id === 'record.end')?.says).toContain(
      'can say whether more came',
    );
  });
});
