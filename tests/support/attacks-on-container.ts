/** Attacks on the archive, the bag around the record, and its keys. */
import { keyOfSeed } from '#lib/crypto/node.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { utf8 } from '#lib/core/record/bytes.ts';
import { entryFields, maraKey, sealNext, tomasKey } from './a-record.ts';
import { knownKey } from './a-bag.ts';
import { resealed, withKeys, withRecord, zipped } from './attacker.ts';
import { bag, fresh, attacked, insider, events, text } from './attack-scene.ts';
import type { Attack } from './attack-scene.ts';

export const onContainer: readonly Attack[] = [
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
];
