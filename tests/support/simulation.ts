/**
 * A small world under one seed: people who work and slip, devices that restart and lose time, a link that
 * drops, repeats and cuts, and a collecting server that is stopped in between. What it comes to is judged
 * by others: the safety monitors, the record's reader, `fsck`, and a comparison byte for byte.
 */
import { decide } from '#lib/core/job/decide.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { enabledCommands } from '#lib/core/job/enabled-commands.ts';
import type { Bounds } from '#lib/core/job/enabled-commands.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import type { Plan } from '#lib/core/job/plan.ts';
import { initialState, isEnded } from '#lib/core/job/state.ts';
import type { JobState } from '#lib/core/job/state.ts';
import { discloseAll } from '#lib/core/record/disclosures.ts';
import { headOf, manifestOf, readRecord } from '#lib/core/record/chain.ts';
import type { Body } from '#lib/core/record/entry.ts';
import { sealEntry } from '#lib/core/record/sealed.ts';
import type { SealedEntry } from '#lib/core/record/sealed.ts';
import { runMonitors } from '#lib/core/safety/index.ts';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { enrolCrew, startCollecting } from './a-collecting-server.ts';
import type { CollectingServer } from './a-collecting-server.ts';
import { freshJobId } from './a-job.ts';
import { entryFields, recordBytes } from './a-record.ts';
import { MARA, ODE, SHA } from './job-builder.ts';
import { between, seeded } from './seeded.ts';
import type { Random } from './seeded.ts';
import type { EmptyPlace } from './test-database.ts';

const BOUNDS: Bounds = { people: [MARA, ODE], connectors: 2 };
/** Longest job, in commands; who is not done by then walks off. */
const LONGEST = 70;
const BATCH = 100;

export interface Tally {
  jobs: number;
  entries: number;
  refused: number;
  ended: number;
  restarts: number;
  clockSetBack: number;
  lost: number;
  repeated: number;
  cut: number;
  serverStops: number;
}

/** What was wrong, in words that name the job; empty when everything agrees. */
export interface Outcome {
  readonly tally: Tally;
  readonly faults: readonly string[];
}

interface Device {
  readonly id: string;
  readonly keys: Readonly<Record<string, NodeKey>>;
  boot: string;
  mono: number;
  /** Wall clock minus true time, in ms. */
  skew: number;
}

interface Told {
  readonly job: string;
  readonly plan: Plan;
  readonly events: readonly JobEvent[];
  readonly sealed: readonly SealedEntry[];
}

export async function simulate(
  seed: number,
  jobs: number,
  plans: readonly Plan[],
  place: EmptyPlace,
  devices = 9,
): Promise<Outcome> {
  const random = seeded(seed);
  const tally: Tally = {
    jobs: 0,
    entries: 0,
    refused: 0,
    ended: 0,
    restarts: 0,
    clockSetBack: 0,
    lost: 0,
    repeated: 0,
    cut: 0,
    serverStops: 0,
  };
  const faults: string[] = [];
  let server = await startCollecting(place);
  const crew: Device[] = [];
  for (let at = 0; at < devices; at += 1) {
    const keys = Object.fromEntries(
      BOUNDS.people.map(({ id }, who) => [
        id,
        keyOfSeed(new Uint8Array(32).fill(20 + at * 2 + who)),
      ]),
    );
    const { device } = await enrolCrew(server, keys);
    crew.push({ id: device, keys, boot: `b${at}-0`, mono: 5000, skew: 0 });
  }
  const all: Told[] = [];
  try {
    for (let done = 0; done < jobs; done += devices) {
      const round = crew.slice(0, Math.min(devices, jobs - done));
      /* Each has chances of its own: who comes first must not change what happens to the others. */
      const own = round.map(() => seeded(between(random, 0, 0x7fffffff)));
      const planOf = round.map(() => plans[between(random, 0, plans.length - 1)] as Plan);
      const told = await Promise.all(
        round.map((device, at) =>
          aJob(planOf[at] as Plan, device, server, own[at] as Random, tally),
        ),
      );
      all.push(...told);
      const sends = told.map((each, at) =>
        send(each, round[at] as Device, server, own[at] as Random, tally),
      );
      faults.push(...(await Promise.all(sends)).flat());
      server.clock.now += 60_000;
      if (random() < 0.5) {
        tally.serverStops += 1;
        const { now } = server.clock;
        await server.close();
        server = await startCollecting(place);
        server.clock.now = now;
      }
    }
    faults.push(...all.flatMap(judged), ...(await judgedServer(server, place, all)));
  } finally {
    await server.close();
  }
  tally.jobs = all.length;
  return { tally, faults };
}

/** One job on one device, by two people who mostly go on and sometimes do not. */
async function aJob(
  plan: Plan,
  device: Device,
  server: CollectingServer,
  random: Random,
  tally: Tally,
): Promise<Told> {
  const job = freshJobId();
  let state: JobState = initialState(plan, SHA);
  const events: JobEvent[] = [];
  const sealed: SealedEntry[] = [];
  const length = between(random, 5, LONGEST);
  for (let turn = 0; turn < length && !isEnded(state); turn += 1) {
    passTime(device, random, tally);
    const at = new Date(server.clock.now + device.mono + device.skew).toISOString();
    const stamp = { at, mono: device.mono, boot: device.boot };
    const command = chosen(state, stamp, random);
    if (command === undefined) break;
    const decision = decide(state, command);
    if (!decision.accepted) tally.refused += 1;
    state = decision.events.reduce(evolve, state);
    events.push(...decision.events);
    for (const event of decision.events) sealed.push(await seal(job, event, sealed, device));
  }
  if (isEnded(state)) tally.ended += 1;
  tally.entries += sealed.length;
  return { job, plan, events, sealed };
}

function passTime(device: Device, random: Random, tally: Tally): void {
  const what = random();
  if (what < 0.02) {
    device.boot = `${device.boot.split('-')[0]}-${between(random, 1, 1e9)}`;
    device.mono = 1000;
    tally.restarts += 1;
  } else if (what < 0.03) {
    device.skew -= between(random, 60_000, 7_200_000);
    tally.clockSetBack += 1;
  } else {
    device.mono +=
      what < 0.06 ? between(random, 1_800_000, 14_400_000) : between(random, 2000, 60_000);
  }
}

const ASIDE = new Set(['park', 'downTools', 'tingle', 'handOver', 'lapse', 'correct', 'leave']);
const ENDS = new Set(['refuse', 'evidenceHold']);

/** Mostly the next step; now and then something on the side, or something that is not open at all. */
function chosen(
  state: JobState,
  stamp: { at: string; mono: number; boot: string },
  random: Random,
): Command | undefined {
  const enabled = enabledCommands(state, BOUNDS, stamp).map(({ command }) => command);
  const what = random();
  const pick = (list: readonly Command[]): Command | undefined =>
    list[between(random, 0, list.length - 1)];
  if (what < 0.06) {
    const step = state.plan.steps[between(random, 0, state.plan.steps.length - 1)];
    const by = BOUNDS.people[between(random, 0, 1)]?.id ?? 'mara';
    return { ...stamp, by, command: 'do', step: step?.id ?? '', result: {} } as Command;
  }
  if (what < 0.16) {
    const aside = enabled.filter(({ command }) => ASIDE.has(command));
    if (aside.length > 0) return pick(aside);
  }
  const frontier = state.plan.steps[state.frontier]?.id;
  const next = enabled.filter((each) => {
    if (each.command === 'resume' || each.command === 'endWindow' || each.command === 'close')
      return true;
    return each.command === 'do' && each.step === frontier;
  });
  if (next.length > 0 && what < 0.9) return pick(next);
  return pick(enabled.filter(({ command }) => !ENDS.has(command))) ?? pick(enabled);
}

async function seal(
  job: string,
  event: JobEvent,
  before: readonly SealedEntry[],
  device: Device,
): Promise<SealedEntry> {
  const key = device.keys[event.by] as NodeKey;
  const salt = (): Uint8Array => new Uint8Array(16).fill(before.length);
  const { digests } = discloseAll(event.private ?? {}, salt, nodePrimitives);
  const manifest = manifestOf(before, key.key);
  const whole = event.type === 'job.closed' ? { ...event.body, manifest } : event.body;
  const { at, mono, boot, by, type } = event;
  const secret = digests.length === 0 ? {} : { _sd: digests };
  const body = JSON.parse(JSON.stringify(whole)) as Body;
  const fields = entryFields(type, body, { job, at, mono, boot, by, ...secret });
  const last = before.at(-1);
  const head = last === undefined ? null : headOf(last);
  const made = await sealEntry(fields, head, key, nodePrimitives);
  if (!made.ok) throw new Error(`${job} ${type}: ${made.flaw.says}`);
  return made.value;
}

/** Until the server has answered for every entry, over a link in bad weather. */
async function send(
  { job, sealed }: Told,
  device: Device,
  server: CollectingServer,
  random: Random,
  tally: Tally,
): Promise<string[]> {
  let sent = 0;
  for (let tries = 0; sent < sealed.length; tries += 1) {
    if (tries > 200) return [`${job}: the server never took all of it`];
    const lines = sealed.slice(sent, sent + BATCH).map(({ line }) => line);
    const weather = random();
    if (weather < 0.1) {
      tally.lost += 1;
      continue;
    }
    if (weather < 0.2) {
      tally.repeated += 1;
      await server.ingest.take(lines, device.id);
    }
    const cut = weather > 0.9 ? lines.slice(0, between(random, 1, lines.length)) : lines;
    if (cut.length < lines.length) tally.cut += 1;
    const { entries } = await server.ingest.take(cut, device.id);
    const bad = entries.find(({ status }) => status !== 'accepted' && status !== 'duplicate');
    if (bad !== undefined) return [`${job}: the server says ${JSON.stringify(bad)}`];
    // The answer itself may be lost; then the same goes out again.
    if (random() < 0.1) tally.lost += 1;
    else sent += cut.length;
  }
  return [];
}

/** What the reader of records and the monitors say of a job, and whether its fold comes to one state. */
function judged({ job, plan, events, sealed }: Told): string[] {
  const faults: string[] = [];
  const read = readRecord(recordBytes(sealed), nodePrimitives);
  if (!read.ok) faults.push(`${job}: ${read.flaw.says}`);
  for (const { violations } of Object.values(runMonitors(plan.checklist, events)))
    faults.push(...violations.map(({ property, says }) => `${job}: ${property}: ${says}`));
  return faults;
}

/** What `fsck` says, and whether the server holds what the devices told, byte for byte. */
async function judgedServer(
  server: CollectingServer,
  place: EmptyPlace,
  all: readonly Told[],
): Promise<string[]> {
  const { rows } = server.database;
  const outside = await new OutsideCheckpoint(place.folder).read();
  const { publicKey } = server.log.key;
  const report = await fsck({ rows, publicKey, outside, held: [] });
  const faults = report.checks
    .filter(({ status }) => status === 'failed')
    .map((check) => `fsck: ${JSON.stringify(check)}`);
  const entries = all.reduce((sum, { sealed }) => sum + sealed.length, 0);
  if (report.entries !== entries)
    faults.push(`the server holds ${report.entries} entries, the devices told ${entries}`);
  for (const { job, sealed } of all) {
    const stored = await rows
      .selectFrom('leaves')
      .innerJoin('jobs', 'jobs.no', 'leaves.job_no')
      .select('leaves.line')
      .where('jobs.job', '=', job)
      .orderBy('leaves.seq')
      .execute();
    const same =
      stored.length === sealed.length &&
      stored.every(({ line }, at) => Buffer.compare(line, sealed[at]?.line ?? Buffer.of()) === 0);
    if (!same) faults.push(`${job}: the server holds something else than was told`);
  }
  return faults;
}
