/** Attacks on what stands beside the record, and jobs that broke a property. */
import { shownBytes, wordsShown } from '#lib/core/bag/shown.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { base64url, utf8 } from '#lib/core/record/bytes.ts';
import { canonicalBytes } from '#lib/core/record/canonical.ts';
import { after, before, lampChecklist } from './a-bag.ts';
import { resealed, withRecord } from './attacker.ts';
import {
  sealed,
  fresh,
  attacked,
  another,
  insider,
  events,
  text,
  receiptOf,
} from './attack-scene.ts';
import type { Attack } from './attack-scene.ts';

export const onContents: readonly Attack[] = [
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
