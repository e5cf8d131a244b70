// Many bags in one file: every job of the filter is in it, and each bag stands by itself before our verifier.
import { Uint8ArrayReader, Uint8ArrayWriter, ZipReader } from '@zip.js/zip.js';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { readTrust } from '#lib/core/bag/keys.ts';
import { sourceOf } from '#lib/core/bag/source.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { joined, utf8 } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { House } from '#lib/server/house.ts';
import { bagsAsZip } from '#lib/server/overview/bags-out.ts';
import { trustList } from '#lib/server/shares/trust-list.ts';
import { demonstrationCrew } from '../support/demonstration-crew.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';
import { openTestHouse } from '../support/wired-server.ts';

const FILTER = { demo: true, text: '', status: 'atWork', from: null, until: null, after: '' };

let place: EmptyPlace;
let house: House;
beforeAll(async () => {
  place = await emptyPlace('sqlite');
  house = await openTestHouse(place, Date.now);
  await demonstrationCrew(house, 7, { honest: 0 });
}, 120_000);
afterAll(async () => {
  await house.close();
  await place.remove();
});

async function filesOut(): Promise<Map<string, Uint8Array>> {
  const { database, log, photos, now } = house;
  const ground = { rows: database.rows, log, photos, now: now(), software: '0.1.0' };
  const zip = joined(...(await Array.fromAsync(bagsAsZip(ground, FILTER))));
  // Read by a program that is not ours.
  const reader = new ZipReader(new Uint8ArrayReader(zip));
  const files = new Map<string, Uint8Array>();
  for (const entry of await reader.getEntries())
    if (!entry.directory) files.set(entry.filename, await entry.getData(new Uint8ArrayWriter()));
  await reader.close();
  return files;
}

test('holds a bag for each job that was asked for, and each verifies alone', async () => {
  const { rows } = house.database;
  const asked = await rows
    .selectFrom('jobs')
    .select(['job', 'count'])
    .where('demo', '=', 1)
    .where('status', '=', 'atWork')
    .execute();
  expect(asked.length).toBeGreaterThan(2);
  const files = await filesOut();
  expect(files.size).toBe(asked.length);
  expect([...files.keys()].filter((name) => !name.startsWith('demonstration-'))).toEqual([]);
  const trust = readTrust(utf8(await trustList(rows, house.log)), nodePrimitives);
  if (!trust.ok) throw new Error(trust.flaw.says);
  const found: { job: string; count: number }[] = [];
  for (const [name, bytes] of files) {
    const report = await verifyBag(sourceOf(bytes), trust.value, nodePrimitives);
    expect(
      report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id),
      name,
    ).toEqual([]);
    expect(report.job, name).not.toBeNull();
    if (report.job !== null) found.push({ job: report.job.id, count: report.job.entries });
  }
  const byJob = (a: { job: string }, b: { job: string }) => a.job.localeCompare(b.job);
  expect(found.toSorted(byJob)).toEqual(asked.toSorted(byJob));
});

test('what cannot be made is named in a file of its own, and the rest is there', async () => {
  const { rows } = house.database;
  const whole = await filesOut();
  const lists = await rows.selectFrom('checklists').selectAll().execute();
  const { checklist_sha256: sha256 } = await rows
    .selectFrom('jobs')
    .select('checklist_sha256')
    .where('status', '=', 'atWork')
    .executeTakeFirstOrThrow();
  const { count } = await rows
    .selectFrom('jobs')
    .select((is) => is.fn.countAll<number>().as('count'))
    .where('status', '=', 'atWork')
    .where('checklist_sha256', '=', sha256)
    .executeTakeFirstOrThrow();
  await rows.deleteFrom('checklists').where('sha256', '=', sha256).execute();
  const files = await filesOut();
  await rows
    .insertInto('checklists')
    .values(lists.filter((one) => one.sha256 === sha256))
    .execute();
  const said = new TextDecoder().decode(files.get('not-in-here.txt'));
  expect(said.trimEnd().split('\n')).toHaveLength(Number(count));
  expect(files.size - 1).toBe(whole.size - Number(count));
});
