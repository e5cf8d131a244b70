/** Builders of evidence bags for tests: a whole job on the bench lamp, sealed with fixed keys. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { BagFile } from '#lib/core/bag/bag-file.ts';
import { fileOf } from '#lib/core/bag/bag-file.ts';
import type { KeyList, KnownKey } from '#lib/core/bag/keys.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import type { RecordPieces } from '#lib/core/bag/record-folder.ts';
import { writeBag } from '#lib/core/bag/write-bag.ts';
import type { BagOptions } from '#lib/core/bag/write-bag.ts';
import { checklistIdentity } from '#lib/core/checklist/identity.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Command, Order } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { joined } from '#lib/core/record/bytes.ts';
import { manifestOf } from '#lib/core/record/chain.ts';
import { discloseAll } from '#lib/core/record/disclosures.ts';
import type { Body } from '#lib/core/record/entry.ts';
import type { SealedEntry } from '#lib/core/record/sealed.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import { entryFields, maraKey, sealNext, tomasKey } from './a-record.ts';

const lampYaml = readFileSync(new URL('./checklists/bench-lamp.yaml', import.meta.url), 'utf8');

export const officeKey: NodeKey = keyOfSeed(new Uint8Array(32).fill(9));

/** A "photo": bytes that begin like a JPEG and hold nothing. */
export function aPhoto(fill: number, size = 600): { bytes: Uint8Array; sha256: string } {
  const bytes = new Uint8Array(size).fill(fill);
  bytes.set([0xff, 0xd8, 0xff, 0xe0]);
  return { bytes, sha256: createHash('sha256').update(bytes).digest('hex') };
}

export const before = aPhoto(1);
export const after = aPhoto(2);

const check = { expected: '120', shown: '119.6', unit: 'V' };
const zero = { value: '0.0', unit: 'V' };

const open: Order = {
  command: 'open',
  site: '4 Larch Lane, flat 2',
  people: [{ id: 'mara', name: 'Mara Quill', competence: ['electrical'] }],
  instruments: [
    { id: 'T-7', category: 'CAT III', volts: '600', due: '2027-03-01', percent: '0.5', counts: 3 },
  ],
};

/** The job from the door to the hand-back, with one refused try in it. */
export const wholeJob: readonly Order[] = [
  open,
  { command: 'do', step: 'count', result: { sources: 1 } },
  { command: 'do', step: 'unplug', result: { operated: 'plug' } },
  { command: 'do', step: 'base-off', result: { photos: [before.sha256] } },
  {
    command: 'do',
    step: 'dead',
    result: {
      instrument: 'T-7',
      before: check,
      after: check,
      pairs: { 'L-N': zero, 'L-G': zero, 'N-G': zero },
    },
  },
  { command: 'do', step: 'base-off', result: { photos: [before.sha256] } },
  {
    command: 'do',
    step: 'wires',
    result: {
      photos: [before.sha256],
      connectors: [
        { id: 'w1', label: 'brown', terminal: '1', pin: { photo: before.sha256, x: 310, y: 520 } },
      ],
    },
  },
  { command: 'do', step: 'switch', result: { rest: 'O', pressed: 'C', instrument: 'T-7' } },
  { command: 'do', step: 'rewire', result: { connector: 'w1', photos: [after.sha256] } },
  { command: 'do', step: 'base-on', result: {} },
  { command: 'do', step: 'clear', result: { people: ['mara'], tools: 3 } },
  { command: 'do', step: 'plug-in', result: {} },
  { command: 'do', step: 'done', result: {} },
  { command: 'close' },
];

const loaded = loadChecklist(lampYaml);
if (!loaded.ok) throw new Error(loaded.problems[0]?.says);
export const lampChecklist = { ...loaded, yaml: lampYaml };
const identity = checklistIdentity(loaded.json, nodePrimitives.sha256);

/** Feeds orders to the engine, twenty seconds apart, all by mara. */
export function eventsOf(orders: readonly Order[]): JobEvent[] {
  let state = initialState(planOf(lampChecklist.checklist), identity);
  return orders.flatMap((order, at) => {
    const minute = String(Math.floor(at / 3)).padStart(2, '0');
    const stamp = `2026-11-25T10:${minute}:${String((at % 3) * 20).padStart(2, '0')}.000-05:00`;
    const command = { ...order, at: stamp, mono: 5000 + at * 20_000, boot: 'k3test', by: 'mara' };
    const { events } = decide(state, command as Command);
    state = events.reduce(evolve, state);
    return [...events];
  });
}

/** Seals events as a device does, salts counting up. */
export async function sealAll(
  events: readonly JobEvent[],
  keys: Readonly<Record<string, NodeKey>> = { mara: maraKey, tomas: tomasKey },
): Promise<Pick<RecordPieces, 'disclosures'> & { sealed: SealedEntry[] }> {
  const sealed: SealedEntry[] = [];
  const disclosures: { seq: number; disclosure: string }[] = [];
  let salts = 0;
  for (const event of events) {
    const key = keys[event.by] ?? maraKey;
    const salt = (): Uint8Array => new Uint8Array(16).fill((salts += 1));
    const secret = discloseAll(event.private ?? {}, salt, nodePrimitives);
    const body =
      event.type === 'job.closed'
        ? { ...event.body, manifest: manifestOf(sealed, key.key) }
        : event.body;
    const { at, mono, boot, by } = event;
    const digests = secret.digests.length === 0 ? {} : { _sd: secret.digests };
    const fields = entryFields(event.type, JSON.parse(JSON.stringify(body)) as Body, {
      at,
      mono,
      boot,
      by,
      ...digests,
    });
    sealed.push(await sealNext(sealed, fields, key));
    const seq = sealed.length - 1;
    disclosures.push(...secret.disclosures.map(({ encoded }) => ({ seq, disclosure: encoded })));
  }
  return { sealed, disclosures };
}

export function knownKey(
  { key, publicKey }: NodeKey,
  person: string,
  use: KnownKey['use'] = 'entries',
): KnownKey {
  const since = '2026-10-01T08:00:00.000-05:00';
  return { key, publicKey, person, since, enrolledBy: 'office', use };
}

/** Everybody whose key a verifier of these tests believes. */
export const trusted: KeyList = {
  keys: [
    knownKey(maraKey, 'mara'),
    knownKey(tomasKey, 'tomas'),
    knownKey(officeKey, 'office', 'export'),
  ],
  logs: [],
  authorities: [],
};

/** The pieces of a record folder of the lamp job; `changes` replaces some of them. */
export async function lampPieces(
  orders: readonly Order[] = wholeJob,
  changes: Partial<RecordPieces> = {},
): Promise<RecordPieces & { sealed: SealedEntry[] }> {
  const { sealed, disclosures } = await sealAll(eventsOf(orders));
  return {
    sealed,
    lines: sealed.map(({ line }) => line),
    disclosures,
    checklist: lampChecklist,
    keys: [knownKey(maraKey, 'mara')],
    photos: [before, after].map(({ sha256, bytes }) => {
      return { sha256, size: bytes.length, open: () => [bytes] };
    }),
    ...changes,
  };
}

export const bagOptions: BagOptions = {
  exporter: { ...officeKey, person: 'office' },
  at: '2026-11-25T11:30:00.000-05:00',
  software: '0.1.0',
};

export async function collected(bytes: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  for await (const part of bytes) parts.push(part.slice());
  return joined(...parts);
}

/** The bytes of a bag from the files of a folder; throws when it is refused. */
export async function packed(
  files: readonly BagFile[],
  options: Partial<BagOptions> = {},
): Promise<Uint8Array> {
  const bag = await writeBag(files, { ...bagOptions, ...options }, nodePrimitives);
  if (!bag.ok) throw new Error(bag.flaw.says);
  return collected(bag.value.bytes);
}

/** The bag of the whole lamp job. */
export async function lampBag(options: Partial<BagOptions> = {}): Promise<Uint8Array> {
  return packed(recordFolderFiles(await lampPieces()), options);
}

export { fileOf };
