/** Attacks on the entries themselves, from outside and by an insider. */
import { utf8 } from '#lib/core/record/bytes.ts';
import type { Body } from '#lib/core/record/entry.ts';
import { entryFields, sealNext } from './a-record.ts';
import { after } from './a-bag.ts';
import { withRecord } from './attacker.ts';
import { sealed, otherJob, attacked, another, insider, events, text } from './attack-scene.ts';
import type { Attack } from './attack-scene.ts';

export const onRecord: readonly Attack[] = [
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
    what: 'a wall clock set back behind a note on the clock of the office',
    check: 'record.clock',
    alone: false,
    make: async () =>
      another(
        await insider(events, (fields, head, seq) => {
          const at = '2026-11-25T10:02:00.000-05:00';
          const body = { what: 'office', seconds: 0 };
          return seq === 12 ? [{ ...fields, at, type: 'clock.noted' as const, body }, head] : null;
        }),
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
];
