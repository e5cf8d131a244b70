import { beforeEach, expect, test } from 'vitest';
import { signatureStandsStrictly } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import type { Device } from '#lib/device/device.ts';
import { publicKeys } from '#lib/device/keys.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import { must, photoOf } from '../../support/fresh-store.ts';
import {
  FIRST_STEPS,
  LATER_STEPS,
  LAMP,
  ODE_JOINS,
  OPEN,
  PHOTO,
  enrolledDevice,
  freshDevice,
  openedJob,
} from '../../support/lamp-job.ts';

let device: Device;
beforeEach(async () => {
  device = await freshDevice();
});

async function doAll(session: JobSession): Promise<void> {
  for (const order of FIRST_STEPS) {
    const submitted = await session.submit(order);
    expect(submitted).toMatchObject({ accepted: true, refusals: [] });
  }
}

const types = (session: JobSession) => session.entries.map(({ event }) => event.type);

test('a job is opened, worked on, and stands the same after the page was loaded again', async () => {
  const session = await openedJob(device);
  await doAll(session);
  expect(types(session)).toEqual(['job.opened', 'step.done', 'step.done', 'step.done']);
  expect(session.view.sources[0]?.state).toBe('dead');
  session.close();

  const later = must(await (await enrolledDevice()).openJob(session.job));
  expect(later.entries).toEqual(session.entries);
  expect(later.state).toEqual(session.state);
  expect(later.disclosed).toEqual(session.disclosed);
  later.close();
});

test('every entry is signed by the key of the person who acted', async () => {
  const session = await openedJob(device);
  await session.submit(FIRST_STEPS[0]!);
  await session.submit(ODE_JOINS);
  await session.submit({ command: 'nearMiss', what: 'the bench rocked' }, { by: 'ode' });
  session.close();
  const keys = must(await publicKeys(device.store.connection));
  expect(keys.map((key) => key.person)).toEqual(['mara', 'ode']);
  for (const { sealed } of session.entries) {
    const key = keys.find((each) => each.thumbprint === sealed.entry.key);
    expect(key?.person).toBe(sealed.entry.by);
    expect(signatureStandsStrictly(sealed, key!.publicKey, purePrimitives)).toBe(true);
  }
});

test('private values stand beside the record and nowhere in it', async () => {
  const session = await openedJob(device);
  session.close();
  expect(session.disclosedAs('site')).toBe(OPEN.site);
  expect(session.disclosedAs('name.mara')).toBe('Mara Quill');
  const { lines } = must(await device.store.readJob(session.job));
  const text = lines.map((line) => new TextDecoder().decode(line)).join('\n');
  expect(text).not.toContain('Tannery');
  expect(text).not.toContain('Quill');
  expect(session.entries[0]?.sealed.entry._sd).toHaveLength(2);
  expect(must(await device.listJobs())[0]?.site).toBe(OPEN.site);
});

test('a refused try is stored, and shown only then', async () => {
  const session = await openedJob(device);
  const submitted = await session.submit({ command: 'do', step: 'base-off', result: {} });
  expect(submitted.accepted).toBe(false);
  expect(submitted.refusals.map((each) => each.code)).toContain('order');
  expect(types(session)).toEqual(['job.opened', 'try.refused']);
  expect(must(await device.store.headOf(session.job)).count).toBe(2);
  session.close();
});

test('taps in quick succession are taken one after the other', async () => {
  const session = await openedJob(device);
  const all = await Promise.all(FIRST_STEPS.map((order) => session.submit(order)));
  expect(all.map((each) => each.accepted)).toEqual([true, true, true]);
  expect(session.entries.map(({ sealed }) => sealed.entry.seq)).toEqual([0, 1, 2, 3]);
  session.close();
});

test('a photo goes in with the entry that names it, and one that is nowhere is refused', async () => {
  const session = await openedJob(device);
  await doAll(session);
  const photo = photoOf(4000);
  const order = {
    command: 'do',
    step: 'base-off',
    result: { photos: [photo.sha256] },
  } as const;
  const missing = await session.submit(order);
  expect(missing).toMatchObject({ accepted: false, trouble: { code: 'photo-missing' } });
  expect(session.entries).toHaveLength(4);
  expect(await session.submit(order, { photos: [photo, photoOf(10, 9)] })).toMatchObject({
    accepted: true,
  });
  expect(must(await device.store.readPhoto(photo.sha256)).bytes).toEqual(photo.bytes);
  expect(await device.store.readPhoto(photoOf(10, 9).sha256)).toMatchObject({ ok: false });
  session.close();
});

test('nobody signs for somebody who has no key here', async () => {
  const session = await openedJob(device);
  const stranger = { id: 'rui', name: 'Rui Sand', competence: [] };
  expect(await session.submit({ command: 'join', person: stranger })).toMatchObject({
    accepted: true,
  });
  const refused = await session.submit({ command: 'nearMiss', what: 'a spark' }, { by: 'rui' });
  expect(refused).toMatchObject({ accepted: false, trouble: { code: 'no-key' } });
  expect(session.trouble?.code).toBe('no-key');
  expect(types(session)).toEqual(['job.opened', 'person.joined']);
  session.close();
});

test('an order out of form is a sentence and leaves no trace', async () => {
  const session = await openedJob(device);
  const long = 'x'.repeat(5000);
  const refused = await session.submit({ command: 'nearMiss', what: long });
  expect(refused.accepted).toBe(false);
  expect(refused.refusals[0]).toMatchObject({ code: 'bad-input' });
  expect(refused.refusals[0]?.says).toMatch(/longer than 4000/);
  expect(session.entries).toHaveLength(1);
  session.close();
});

test('a job that the engine does not open is not begun', async () => {
  const order = { ...OPEN, site: ' ' };
  const started = await device.startJob({ checklist: LAMP, order, by: 'mara' });
  expect(started).toMatchObject({ ok: false, refusals: [{ code: 'bad-input' }] });
  const broken = await device.startJob({ checklist: 'format: 1\n', order: OPEN, by: 'mara' });
  expect(broken).toMatchObject({ ok: false, trouble: { code: 'bad-checklist' } });
  expect(must(await device.listJobs())).toEqual([]);
});

test('a job names the one before it on this device, so that none can vanish unseen', async () => {
  const first = await openedJob(device);
  first.close();
  const second = await openedJob(device);
  second.close();
  const opening = second.entries[0]?.event;
  expect(opening?.type === 'job.opened' && opening.body.previous).toEqual({
    job: first.job,
    head: first.entries[0]?.sealed.hash,
  });
});

test('a newer program keeps the record of the older, and says so once', async () => {
  const session = await openedJob(device);
  session.close();
  const newer = await enrolledDevice({ app: '0.2.0+next', rules: 'b'.repeat(64) });
  const later = must(await newer.openJob(session.job));
  await later.submit(FIRST_STEPS[0]!);
  await later.submit(FIRST_STEPS[1]!);
  later.close();
  expect(types(later)).toEqual([
    'job.opened',
    'clock.noted',
    'program.noted',
    'step.done',
    'step.done',
  ]);
  expect(new Set(later.entries.map(({ sealed }) => sealed.entry.app))).toEqual(
    new Set(['0.1.0+test']),
  );
  const note = later.entries[2]?.event;
  expect(note?.type === 'program.noted' && note.body.what).toContain('0.2.0+next');
});

test('the clock of the office: that it agrees is told once, a finding until it is over', async () => {
  const session = await openedJob(device);
  const told = () =>
    session.entries.flatMap(({ event }) =>
      event.type === 'clock.noted' ? [[event.body.what, event.body.seconds]] : [],
    );
  const heard = async (seconds: number, step: number) => {
    session.heardOffice(seconds);
    await session.submit(FIRST_STEPS[step] ?? { command: 'nearMiss', what: 'a spark' });
    return told();
  };
  expect(await heard(2, 0)).toEqual([['office', 2]]);
  expect(await heard(-3, 1)).toHaveLength(1);
  expect((await heard(-700, 2)).at(-1)).toEqual(['office', -700]);
  expect(await heard(-701, 9)).toHaveLength(2);
  expect((await heard(0, 9)).at(-1)).toEqual(['office', 0]);
  session.heardOffice(4000);
  session.close();

  // Another run of the program: a finding is told again, before the act that it stands with.
  const later = must(await (await enrolledDevice()).openJob(session.job));
  later.heardOffice(4000);
  await later.submit({ command: 'nearMiss', what: 'a spark' });
  expect(types(later).slice(-3)).toEqual(['clock.noted', 'clock.noted', 'nearMiss']);
  later.close();
  const kept = later.entries.map(({ sealed }) => sealed.entry.body['what']).slice(-3, -1);
  expect(kept).toEqual(['restart', 'office']);
});

test('the closing entry says what all the others were, and nothing follows it but amendments', async () => {
  const session = await openedJob(device);
  await doAll(session);
  for (const order of LATER_STEPS) {
    const submitted = await session.submit(order, { photos: [PHOTO] });
    expect(submitted).toMatchObject({ accepted: true, refusals: [] });
  }
  session.note('a note that comes too late');
  await session.submit({ command: 'amend', about: 'switch', text: 'the old switch was kept' });
  session.close();
  const closing = session.entries.at(-2);
  expect(types(session).slice(-2)).toEqual(['job.closed', 'amended']);
  expect(closing?.event.type === 'job.closed' && closing.event.body.manifest).toEqual({
    entries: session.entries.length - 2,
    head: session.entries.at(-3)?.sealed.hash,
    keys: [closing?.sealed.entry.key],
    photos: [PHOTO.sha256],
  });
});
