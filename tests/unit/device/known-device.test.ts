import { beforeEach, expect, test } from 'vitest';
import { Connection } from '#lib/device/connection.ts';
import { acquaint, answerForEmptied } from '#lib/device/known-device.ts';
import type { MarkPlace } from '#lib/device/known-device.ts';
import { emptyDevice, must } from '../../support/fresh-store.ts';

/** A place that outlives the store, or, switched off, keeps nothing. */
class Place implements MarkPlace {
  mark: string | null = null;
  kept = true;
  read = () => this.mark;
  write = (since: string) => {
    if (this.kept) this.mark = since;
  };
}

let places: readonly [Place, Place];
beforeEach(() => {
  emptyDevice();
  places = [new Place(), new Place()];
});

async function visit(today: string) {
  const connection = must(await Connection.open());
  return { connection, met: must(await acquaint(connection, today, places)) };
}

test('a first use is a first use, and later ones are known since then', async () => {
  expect((await visit('2026-11-02')).met).toEqual({ kind: 'new', since: '2026-11-02' });
  expect((await visit('2026-11-25')).met).toEqual({ kind: 'known', since: '2026-11-02' });
});

test('an emptied store is an alarm until somebody answers for it', async () => {
  await visit('2026-11-02');
  emptyDevice();
  const { met } = await visit('2026-11-25');
  expect(met).toMatchObject({ kind: 'emptied', since: '2026-11-02' });
  expect(met.kind === 'emptied' && met.says).toContain('2026-11-02');
  const again = await visit('2026-11-26');
  expect(again.met.kind).toBe('emptied');
  must(await answerForEmptied(again.connection));
  expect((await visit('2026-11-27')).met).toEqual({ kind: 'known', since: '2026-11-02' });
});

test('one place that still remembers is enough', async () => {
  places[0].kept = false;
  await visit('2026-11-02');
  emptyDevice();
  expect((await visit('2026-11-25')).met.kind).toBe('emptied');
});

test('where nothing can be marked, and where a mark is nonsense, there is no false alarm', async () => {
  places[0].mark = 'last Tuesday';
  places[1].kept = false;
  expect((await visit('2026-11-02')).met.kind).toBe('new');
});

test('a store that is there gives its mark back to places that forgot', async () => {
  await visit('2026-11-02');
  places[0].mark = null;
  await visit('2026-11-25');
  expect(places[0].mark).toBe('2026-11-02');
});
