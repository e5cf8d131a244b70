/**
 * A made-up crew on a real server: people, places and jobs that do not exist, run through the real engine,
 * sealed with keys that live as long as this process. `demo` stands in each signed opening entry, so nobody
 * can take the mark off, and every name says it too.
 */
import { randomBytes } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { encode } from 'jpeg-js';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import type { JobEvent, LeftOpen } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { RULE_SET } from '#lib/core/job/rules.ts';
import { initialState, type JobState } from '#lib/core/job/state.ts';
import { viewOf } from '#lib/core/job/view.ts';
import {
  base64url,
  canonicalBytes,
  discloseAll,
  enrolmentMessage,
  headOf,
  hex,
  manifestOf,
  sealEntry,
  uuidV7,
  type SealedEntry,
} from '#lib/core/record/index.ts';
import { nodePrimitives, throwAwayKey, type NodeKey } from '#lib/crypto/node.ts';
import { enrolDevice } from '#lib/server/devices/enrol-device.ts';
import { offerEnrolment } from '#lib/server/devices/offer-enrolment.ts';
import { keepChecklist } from '#lib/server/files/checklist-shelf.ts';
import { keepDisclosures } from '#lib/server/files/disclosure-shelf.ts';
import type { ScreenJob } from '#lib/core/screen/trace.ts';
import type { House } from '#lib/server/house.ts';
import { screenCrew } from '#lib/server/looks/screening.ts';
import { plainCode } from '#lib/server/secrets.ts';
import { madeJob, seeded, type Way } from './made-crew.ts';

const PEOPLE = {
  'made-up.rosa': 'Rosa Ekdal',
  'made-up.idris': 'Idris Vane',
  'made-up.lene': 'Lene Otto',
};
const SITES = [
  '12 Sorrel Lane',
  'Bakery at the Old Lock',
  'Flat 3, Heron House',
  'Laundry, Mill Row',
];
const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const RULES = hex(nodePrimitives.sha256(canonicalBytes(RULE_SET)));

interface Made {
  readonly list: string;
  readonly person: string;
  /** Milliseconds since 1970 of its first entry. */
  readonly from: number;
  readonly events: readonly JobEvent[];
}

const lists = new URL('../../checklists/', import.meta.url);
const replays = new URL('../replays/', import.meta.url);
const textOf = (list: string): string => readFileSync(new URL(`${list}.yaml`, lists), 'utf8');

function loaded(list: string) {
  const read = loadChecklist(textOf(list));
  if (!read.ok) throw new Error(`The checklist ${list} cannot be read.`);
  return read;
}

/** The recorded walk through a list, up to `share` of it, then what else happened. */
function walked(
  list: string,
  person: string,
  share: number,
  then: readonly object[] = [],
): JobEvent[] {
  const lines = readFileSync(new URL(`${list}-whole-job.jsonl`, replays), 'utf8')
    .trim()
    .split('\n');
  const commands = lines.map((line) => JSON.parse(line) as Command & { by: string; mono: number });
  const lead = commands[0]?.by ?? '';
  const part = commands.slice(0, Math.ceil(commands.length * share));
  const last = part.at(-1);
  const more = then.map((one, at) => ({
    ...one,
    at: last?.at,
    by: lead,
    boot: last?.boot,
    mono: (last?.mono ?? 0) + (at + 1) * 20_000,
  }));
  let state = initialState(planOf(loaded(list).checklist), '');
  return [...part, ...more].flatMap((line, at) => {
    const said = { ...line, ...('left' in line ? { left: leftOpen(state) } : {}) };
    const command = JSON.parse(
      JSON.stringify(said).replaceAll(`"${lead}"`, `"${person}"`),
    ) as Command;
    const { events, refusals } = decide(state, command);
    if (at >= part.length && refusals.length > 0) throw new Error(refusals[0]?.says);
    state = events.reduce(evolve, state);
    return events;
  });
}

/** Everything that is open, as it is declared when a machine is parked. */
function leftOpen(state: JobState): LeftOpen[] {
  const { openEnds } = viewOf(state, state.clock, '');
  const why = 'It waits for a part; covered and out of reach.';
  return openEnds.map(({ id }) => ({ end: id, insulated: true, why }));
}

const parked = (until: number) => ({
  command: 'park',
  as: 'shut',
  told: 'the tenant',
  owner: 'the landlord',
  until: new Date(until).toISOString().slice(0, 10),
  left: [],
  lock: 'F1',
});

function jobsOf(seed: number, now: number, honest: number): Made[] {
  const random = seeded(seed);
  const people = Object.keys(PEOPLE);
  const personOf = (at: number): string => people[at % people.length] ?? '';
  const ways: Way[] = Array.from({ length: honest }, () => 'honest');
  for (const [at, way] of (['copied', 'rollback', 'invented', 'van'] as const).entries())
    ways.splice(Math.floor((honest * (4 - at)) / 4), 0, way);
  const range = 'range-door-lock';
  const before: ScreenJob[] = [];
  const made = ways.map((way, at): Made => {
    const person = way === 'honest' ? personOf(at) : 'made-up.idris';
    const job = madeJob(way, at, person, random, way === 'copied' ? before[0] : undefined);
    before.push(job);
    return { list: range, person, from: now - (120 - at * 3) * DAY, events: job.events };
  });
  const others = readdirSync(replays)
    .filter((file) => file.endsWith('-whole-job.jsonl') && !file.startsWith('range'))
    .map((file) => file.replace('-whole-job.jsonl', ''));
  const whole = others.map((list, at): Made => {
    const person = personOf(at);
    return {
      list,
      person,
      from: now - (15 - at) * DAY - 5 * HOUR,
      events: walked(list, person, 1),
    };
  });
  const open = [
    [0.35, 3 * HOUR, []],
    [
      0.6,
      5 * HOUR,
      [{ command: 'nearMiss', what: 'The cooktop slid on its prop; nobody was under it.' }],
    ],
    [
      0.4,
      26 * HOUR,
      [{ command: 'tingle', what: 'Felt a tingle at the door frame. Hand away, isolated.' }],
    ],
    [0.45, 9 * DAY, [parked(now - 2 * DAY)]],
    [0.5, 4 * DAY, [parked(now + 6 * DAY)]],
    [
      0.4,
      2 * DAY,
      [{ command: 'refuse', why: 'The owner wants it live again at once.', left: [] }],
    ],
  ] as const;
  const running = open.map(([share, ago, then], at): Made => {
    const list = at === 3 ? 'dishwasher-drain-pump' : 'dryer-no-heat';
    const person = personOf(at + 1);
    return { list, person, from: now - ago, events: walked(list, person, share, then) };
  });
  return [...made, ...whole, ...running];
}

/** A small picture that looks like no other: what a photo of the crew shows is nothing. */
function pictureOf(mark: string): Uint8Array {
  const random = seeded(Number.parseInt(mark.slice(0, 8), 16));
  const [width, height] = [96, 72];
  const tones = Array.from({ length: 48 }, () => Math.floor(random() * 256));
  const data = new Uint8Array(width * height * 4);
  for (let at = 0; at < width * height; at += 1) {
    const tone = tones[Math.floor((at % width) / 12) + 8 * Math.floor(at / width / 12)] ?? 0;
    data.set([tone, tone, 255 - tone, 255], at * 4);
  }
  return new Uint8Array(encode({ data, width, height }, 80).data);
}

/** What the crew has typed and photographed, where a test wants it otherwise. */
export interface Typed {
  /** Honest jobs of the range, each a whole one. */
  readonly honest?: number;
  readonly sites?: readonly string[];
  readonly names?: Readonly<Record<string, string>>;
  readonly picture?: (mark: string) => Uint8Array;
}

/** @returns how many jobs were stored */
export async function demonstrationCrew(
  house: House,
  seed = 20_261_128,
  typed: Typed = {},
): Promise<number> {
  const keys = Object.fromEntries(Object.keys(PEOPLE).map((id) => [id, throwAwayKey()]));
  const device = await letIn(house, keys, { ...PEOPLE, ...typed.names });
  const jobs = jobsOf(seed, house.now(), typed.honest ?? 30);
  for (const [at, job] of jobs.entries()) await store(house, device, keys, job, at, typed);
  const { database, photos, now } = house;
  await screenCrew({ database, photos, now }, true);
  return jobs.length;
}

async function letIn(
  house: House,
  keys: Readonly<Record<string, NodeKey>>,
  names: Readonly<Record<string, string>>,
): Promise<string> {
  const people = Object.entries(names).map(([id, name]) => ({ id, name: `${name} (made up)` }));
  const offer = { label: 'Demonstration, made up', people, newcomers: false };
  const offered = await offerEnrolment(house, offer, 'console');
  if (!offered.ok) throw new Error(offered.says);
  const code = plainCode(offered.value.code) ?? '';
  const asked = Object.entries(keys).map(([person, key]) => ({
    person,
    name: '',
    publicKey: base64url(key.publicKey),
    proof: base64url(key.sign(enrolmentMessage({ code, key: key.key, person })) as Uint8Array),
  }));
  const enrolled = await enrolDevice(house, { code: offered.value.code, keys: asked }, null);
  if (!enrolled.ok) throw new Error(enrolled.says);
  return enrolled.value.device;
}

async function store(
  house: House,
  device: string,
  keys: Readonly<Record<string, NodeKey>>,
  { list, person, from, events }: Made,
  number: number,
  { sites = SITES, picture = pictureOf }: Typed,
): Promise<void> {
  const { checklist, json } = loaded(list);
  const sha256 = hex(nodePrimitives.sha256(canonicalBytes(json)));
  const job = uuidV7(from, new Uint8Array(randomBytes(10)));
  const key = keys[person];
  const begun = Date.parse(events[0]?.at ?? '');
  if (key === undefined || Number.isNaN(begun)) throw new Error(`Nothing happened on ${list}.`);
  const pictures = new Map<string, Uint8Array>();
  const sealed: SealedEntry[] = [];
  const disclosures: { seq: number; disclosure: string }[] = [];
  for (const event of events) {
    const told =
      event.type === 'job.opened' ? { site: sites[number % sites.length] ?? '' } : event.private;
    const { digests, disclosures: made } = discloseAll(
      { ...told },
      () => new Uint8Array(randomBytes(16)),
      nodePrimitives,
    );
    const body = {
      ...(JSON.parse(withPictures(JSON.stringify(event.body), pictures, picture)) as object),
      ...(event.type === 'job.opened'
        ? { demo: true, checklist: { id: list, revision: checklist.revision, sha256 } }
        : {}),
      ...(event.type === 'job.closed' ? { manifest: manifestOf(sealed, key.key) } : {}),
    };
    const last = sealed.at(-1);
    const outcome = await sealEntry(
      {
        app: '0.1.0+demonstration',
        at: new Date(from + Date.parse(event.at) - begun).toISOString(),
        body: body as never,
        boot: event.boot,
        by: event.by,
        job,
        mono: event.mono,
        rules: RULES,
        type: event.type,
        ...(digests.length === 0 ? {} : { _sd: digests }),
      },
      last === undefined ? null : headOf(last),
      key,
      nodePrimitives,
    );
    if (!outcome.ok) throw new Error(outcome.flaw.says);
    disclosures.push(
      ...made.map(({ encoded }) => ({ seq: outcome.value.entry.seq, disclosure: encoded })),
    );
    sealed.push(outcome.value);
  }
  const lines = sealed.map(({ line }) => line);
  for (let first = 0; first < lines.length; first += 100) {
    const { entries } = await house.ingest.take(lines.slice(first, first + 100), device);
    const refused = entries.find(({ status }) => status !== 'accepted');
    if (refused !== undefined) throw new Error(JSON.stringify(refused));
  }
  const kept = await keepChecklist(house.database.rows, sha256, textOf(list));
  if (!kept.ok) throw new Error(kept.says);
  await keepDisclosures(house.database, job, disclosures);
  for (const [digest, bytes] of pictures) {
    const part = { sha256: digest, size: bytes.length, start: 0, bytes };
    const added = await house.photos.add(part, house.now());
    if (!added.ok) throw new Error(added.says);
  }
}

/** Invented digests become those of pictures that are there. */
function withPictures(
  text: string,
  pictures: Map<string, Uint8Array>,
  picture: (mark: string) => Uint8Array,
): string {
  return text.replaceAll(/"photos":\[([^\]]*)\]/g, (_, named: string) => {
    const digests = named.replaceAll(/[0-9a-f]{64}/g, (mark) => {
      const bytes = picture(mark);
      const digest = hex(nodePrimitives.sha256(bytes));
      pictures.set(digest, bytes);
      return digest;
    });
    return `"photos":[${digests}]`;
  });
}
