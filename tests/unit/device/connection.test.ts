import { beforeEach, expect, test } from 'vitest';
import { Connection } from '#lib/device/connection.ts';
import { done } from '#lib/device/trouble.ts';
import { emptyDevice, must } from '../../support/fresh-store.ts';

beforeEach(emptyDevice);

const save = (connection: Connection, value: string) =>
  connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put(value, 'word');
    return done(undefined);
  });
const load = (connection: Connection) =>
  connection.read(['settings'], async (tx) => done(await tx.objectStore('settings').get('word')));

test('every write is strict', async () => {
  const connection = must(await Connection.open());
  const durability = await connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put('a', 'word');
    return done(tx.durability);
  });
  expect(must(durability)).toBe('strict');
});

test('a newer version in another tab closes this connection and says so', async () => {
  const older = must(await Connection.open('stillwire', 1));
  must(await save(older, 'kept'));
  let told = 0;
  older.onOutdated(() => (told += 1));
  const newer = must(await Connection.open('stillwire', 2));
  expect(told).toBe(1);
  expect(older.outdated).toBe(true);
  expect(await save(older, 'lost')).toMatchObject({ trouble: { code: 'outdated' } });
  expect(must(await load(newer))).toBe('kept');
});

test('a page older than the store says so instead of opening it', async () => {
  must(await Connection.open('stillwire', 2)).close();
  expect(await Connection.open('stillwire', 1)).toMatchObject({ trouble: { code: 'outdated' } });
});

test('an upgrade blocked by an old tab is a sentence, and works once that tab is closed', async () => {
  must(await Connection.open('stillwire', 1)).close();
  const deaf = await new Promise<IDBDatabase>((resolve) => {
    const request = indexedDB.open('stillwire', 1);
    request.onsuccess = () => resolve(request.result);
  });
  expect(await Connection.open('stillwire', 2)).toMatchObject({ trouble: { code: 'blocked' } });
  deaf.close();
  const later = must(await Connection.open('stillwire', 2));
  must(await save(later, 'through'));
  expect(must(await load(later))).toBe('through');
});

test('a connection that the browser closed is opened again without a word', async () => {
  const connection = must(await Connection.open());
  must(await save(connection, 'a'));
  connection.close();
  must(await save(connection, 'b'));
  expect(must(await load(connection))).toBe('b');
});

test('a transaction answered with a trouble is undone', async () => {
  const connection = must(await Connection.open());
  const refused = await connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put('half', 'word');
    return { ok: false, trouble: { code: 'moved', says: 'no' } };
  });
  expect(refused).toMatchObject({ trouble: { code: 'moved' } });
  expect(must(await load(connection))).toBeUndefined();
});

test('a broken assumption is thrown, and its transaction undone', async () => {
  const connection = must(await Connection.open());
  const broken = connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put('half', 'word');
    throw new TypeError('a mistake of ours');
  });
  await expect(broken).rejects.toThrow('a mistake of ours');
  expect(must(await load(connection))).toBeUndefined();
});

test('without storage at all there is a sentence', async () => {
  const kept = globalThis.indexedDB;
  Reflect.deleteProperty(globalThis, 'indexedDB');
  try {
    expect(await Connection.open()).toMatchObject({ trouble: { code: 'no-store' } });
  } finally {
    globalThis.indexedDB = kept;
  }
});
