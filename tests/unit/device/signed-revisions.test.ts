import { beforeEach, describe, expect, test } from 'vitest';
import { readChecklistText } from '#lib/device/checklists.ts';
import type { Device } from '#lib/device/device.ts';
import {
  dropOwnChecklist,
  keepOwnChecklist,
  ownChecklist,
  ownChecklists,
} from '#lib/device/own-checklists.ts';
import {
  isSignedWell,
  signatureSays,
  signedRevision,
  signRevision,
} from '#lib/device/signed-revisions.ts';
import { must } from '../../support/fresh-store.ts';
import { FIRST_STEPS, LAMP, freshDevice, openedJob } from '../../support/lamp-job.ts';

let device: Device;
beforeEach(async () => {
  device = await freshDevice();
});

async function saidOfLamp(by = 'mara') {
  const { sha256, id, revision } = must(await readChecklistText(LAMP)).row;
  return {
    checklist: sha256,
    id,
    revision,
    place: 'Weir Road',
    by,
    at: '2026-11-28T10:00:00+00:00',
  };
}

describe('a signature under a revision', () => {
  test('stands under this very text, with the key of the one who signed', async () => {
    const { connection } = device.store;
    const said = await saidOfLamp();
    const signed = must(await signRevision(connection, said));
    expect(signed.statement).toMatchObject(said);
    expect(await isSignedWell(signed)).toBe(true);
    expect(must(await signedRevision(connection, said.checklist))).toEqual(signed);
    const other = must(await readChecklistText(`${LAMP}\n# a letter more\n`)).row.sha256;
    // A comment is no part of what was read, so the identity and the signature stay.
    expect(other).toBe(said.checklist);
    expect(must(await signedRevision(connection, '0'.repeat(64)))).toBeNull();
  });

  test('a changed statement, place or signature does not verify, and counts as none', async () => {
    const { connection } = device.store;
    const said = await saidOfLamp();
    const signed = must(await signRevision(connection, said));
    for (const bad of [
      { ...signed, statement: { ...signed.statement, place: 'Elsewhere' } },
      { ...signed, statement: { ...signed.statement, revision: 9 } },
      { ...signed, sig: `${signed.sig.startsWith('A') ? 'B' : 'A'}${signed.sig.slice(1)}` },
      { ...signed, sig: 'short' },
    ]) {
      expect(await isSignedWell(bad)).toBe(false);
      await connection.write(['settings'], async (tx) => {
        await tx.objectStore('settings').put(bad, `signed:${said.checklist}`);
        return { ok: true, value: undefined };
      });
      const read = await signedRevision(connection, said.checklist);
      expect(read).toMatchObject({ ok: false, trouble: { code: 'damaged' } });
    }
  });

  test('nobody signs without a key here', async () => {
    const signed = await signRevision(device.store.connection, await saidOfLamp('stranger'));
    expect(signed).toMatchObject({ ok: false, trouble: { code: 'no-key' } });
  });

  test('is told once in the record of a job that runs on it', async () => {
    const session = await openedJob(device);
    session.close();
    const signed = must(await signRevision(device.store.connection, await saidOfLamp()));
    const says = signatureSays(signed);
    const notes = () =>
      again.entries.flatMap(({ event }) =>
        event.type === 'program.noted' ? [event.body.what] : [],
      );

    let again = must(await device.openJob(session.job));
    expect(await again.submit(FIRST_STEPS[0]!)).toMatchObject({ accepted: true });
    expect(notes()).toEqual([says]);
    again.close();
    again = must(await device.openJob(session.job));
    expect(await again.submit(FIRST_STEPS[1]!)).toMatchObject({ accepted: true });
    expect(notes()).toEqual([says]);
    again.close();
  });
});

test('own checklists are kept, changed and thrown away', async () => {
  const { connection } = device.store;
  const own = { id: 'our-lamp', text: LAMP, changed: '2026-11-28T10:00:00+00:00' };
  must(await keepOwnChecklist(connection, own));
  must(await keepOwnChecklist(connection, { ...own, id: 'a-lamp', text: 'format: 1' }));
  must(await keepOwnChecklist(connection, { ...own, before: LAMP }));
  expect(must(await ownChecklist(connection, 'our-lamp'))).toEqual({ ...own, before: LAMP });
  expect(must(await ownChecklists(connection)).map(({ id }) => id)).toEqual(['a-lamp', 'our-lamp']);
  must(await dropOwnChecklist(connection, 'a-lamp'));
  expect(must(await ownChecklist(connection, 'a-lamp'))).toBeNull();
  expect(must(await ownChecklists(connection))).toHaveLength(1);
});
