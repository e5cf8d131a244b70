/**
 * The pages of the office over very many jobs: the time that the built server takes for what a page asks
 * for, and the time until the page can be used in a browser on a quarter of this processor.
 *
 *     node tests/bench/office.ts [--jobs 100000] [--only sqlite|postgres] [--folder DIR] [--keep] [--no-browser]
 *
 * Prints JSON. Fills a tenth of the store, asks, fills the rest and asks again. `tests/support/many-jobs.ts`
 * says what the copied jobs are. A folder that was kept is filled no more.
 */
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { makeAccount } from '#lib/server/accounts/accounts.ts';
import { beginSession } from '#lib/server/accounts/sessions.ts';
import { openHouse } from '#lib/server/house.ts';
import type { House } from '#lib/server/house.ts';
import { screenCrew } from '#lib/server/looks/screening.ts';
import { keepInspection } from '#lib/server/programme/inspections.ts';
import { keepByDay } from '#lib/server/programme/keepings.ts';
import { drawSample } from '#lib/server/programme/samples.ts';
import { readSettings } from '#lib/server/settings.ts';
import { startPostgres } from '../support/a-postgres.ts';
import { startApp } from '../support/app-server.ts';
import { demonstrationCrew } from '../support/demonstration-crew.ts';
import { copyJobs, mastersIn } from '../support/many-jobs.ts';
import { usableAfter } from './usable.ts';

const { values } = parseArgs({
  options: {
    jobs: { type: 'string', default: '100000' },
    only: { type: 'string' },
    folder: { type: 'string' },
    keep: { type: 'boolean', default: false },
    'no-browser': { type: 'boolean', default: false },
  },
});
const jobs = Number(values.jobs);
const ASKED = 40;
const LOADED = 5;
const CREW = 'crew=made-up';
const DAY = 86_400_000;

/** Addresses by what a person would call them; what a page asks for is its data, not its empty shell. */
function pagesOf(place: Place): Record<string, string> {
  const list = `/office/jobs?${CREW}`;
  const day = (ago: number): string => new Date(place.now - ago * DAY).toISOString().slice(0, 10);
  return {
    Now: `/office/now?${CREW}`,
    Jobs: list,
    'Jobs, a person': `${list}&q=Cleo`,
    'Jobs, a list': `${list}&q=dryer`,
    'Jobs, a number': `${list}&q=${place.job.slice(0, 13)}`,
    'Jobs, nothing found': `${list}&q=zebra`,
    'Jobs, at work': `${list}&state=atWork`,
    'Jobs, handed back': `${list}&state=handedBack`,
    'Jobs, refused': `${list}&state=refused`,
    'Jobs, a month': `${list}&from=${day(400)}&until=${day(370)}`,
    'Jobs, all of these': `${list}&q=Cleo&state=handedBack&from=${day(800)}&until=${day(100)}`,
    'Jobs, far down': `${list}&after=${place.middle}`,
    'one job': `/office/jobs/${place.job}`,
    'Second looks': `/office/looks?${CREW}`,
    Programme: `/office/programme?${CREW}`,
    Clocks: '/office/clocks',
    Flags: '/office/flags',
    Devices: '/office/devices',
  };
}
/** Left out in the browser: the same page of jobs with another address, which draws as many lines or fewer. */
const isDrawnElsewhere = (name: string): boolean =>
  name.startsWith('Jobs, ') && name !== 'Jobs, a person';
/** Files of the whole list: the time to their first byte, and how much a second comes. No bags: copies do not verify. */
const FILES = ['jobs.csv', 'jobs.ndjson', 'entries.ndjson', 'looks.csv'];

interface Place {
  readonly cookie: string;
  readonly now: number;
  /** One that is in the middle of the store, and its place in the list. */
  readonly job: string;
  readonly middle: string;
}

async function placeIn(house: House): Promise<Place> {
  const { rows } = house.database;
  const asked = {
    login: `bench${house.now()}`,
    name: 'Ines Vahl',
    password: 'seven copper bus bars',
    role: 'officer' as const,
  };
  const made = await makeAccount(house, asked, 'console');
  if (!made.ok) throw new Error(made.says);
  const { count } = await rows
    .selectFrom('jobs')
    .select((is) => is.fn.countAll<number>().as('count'))
    .executeTakeFirstOrThrow();
  const middle = await rows
    .selectFrom('jobs')
    .select(['job', 'opened_at', 'no'])
    .where('no', '=', Math.floor(Number(count) / 2))
    .executeTakeFirstOrThrow();
  return {
    cookie: `stillwire-office=${await beginSession(rows, made.value.id, house.now())}`,
    now: house.now(),
    job: middle.job,
    middle: `${middle.opened_at}-${middle.no}`,
  };
}

/** What the office itself has written down by then; through the acts that its pages use. */
async function programmeOf(house: House): Promise<void> {
  const { rows } = house.database;
  const must = (done: { readonly ok: boolean }): void => {
    if (!done.ok) throw new Error(JSON.stringify(done));
  };
  const lists = await rows.selectFrom('checklists').select('id').execute();
  const day = (ms: number): string => new Date(ms).toISOString().slice(0, 10);
  for (const { id } of lists)
    for (const years of [4, 3, 2, 1]) {
      const done = day(house.now() - years * 360 * DAY);
      const words = { machine: 'Made up', found: 'Made up for this measure.' };
      const people = ['made-up.p3', 'made-up.p4'];
      const asked = { checklist: id, day: done, inspector: 'nobody', people, ...words };
      must(await keepInspection(house, asked, 'console'));
    }
  for (let no = 0; no < 200; no += 1) {
    const doneDay = day(house.now() - (no % 300) * DAY);
    const dueDay = day(house.now() + ((no * 7) % 400) * DAY);
    const person = `made-up.p${no}`;
    const asked = { kind: 'training', label: 'Live work, made up', person, doneDay, dueDay };
    must(await keepByDay(house, asked, 'console'));
  }
  for (let no = 0; no < 3; no += 1) must(await drawSample(house, true, 'console'));
}

const says = (what: string): void => void process.stderr.write(`  office: ${what} …\n`);

const ordered = (all: readonly number[]): number[] => [...all].sort((a, b) => a - b);
const at = (all: readonly number[], share: number): number =>
  Number((ordered(all)[Math.floor((all.length - 1) * share)] ?? 0).toFixed(1));

const dataOf = (path: string): string => {
  const [page = '', asked = ''] = path.split('?');
  return `${page}/__data.json?${asked}`;
};

interface Told {
  /** Milliseconds of the first answer after the start of the server. */
  readonly first: number;
  readonly median: number;
  readonly p95: number;
  readonly kilobytes: number;
}

async function ask(url: string, cookie: string): Promise<{ ms: number; bytes: number }> {
  const began = performance.now();
  const answer = await fetch(url, { headers: { cookie } });
  const body = await answer.text();
  const ms = performance.now() - began;
  // A page that was not drawn, or a sign-in instead of it, is not what is measured.
  if (answer.status !== 200 || /"type":"(?:redirect|error)"/u.test(body))
    throw new Error(`${url}: ${answer.status} ${body.slice(0, 200)}`);
  return { ms, bytes: body.length };
}

/** Page after page, so that none stands alone in what the server keeps. */
async function serverTimes(url: string, place: Place): Promise<Record<string, Told>> {
  const pages = Object.entries(pagesOf(place));
  const found = new Map<string, { ms: number; bytes: number }[]>(pages.map(([name]) => [name, []]));
  for (let round = 0; round <= ASKED; round += 1)
    for (const [name, path] of pages)
      found.get(name)?.push(await ask(url + dataOf(path), place.cookie));
  return Object.fromEntries(
    [...found].map(([name, [first, ...rest]]) => {
      const ms = rest.map((one) => one.ms);
      const kilobytes = Math.round((first?.bytes ?? 0) / 1000);
      const told = { median: at(ms, 0.5), p95: at(ms, 0.95), kilobytes };
      return [name, { first: Math.round(first?.ms ?? 0), ...told }];
    }),
  );
}

async function fileTimes(url: string, { cookie }: Place) {
  const told: Record<string, object> = {};
  for (const file of FILES) {
    const began = performance.now();
    const asked = await fetch(`${url}/office/out/${file}?${CREW}`, { headers: { cookie } });
    let [first, bytes] = [0, 0];
    for await (const chunk of asked.body ?? []) {
      if (bytes === 0) first = performance.now() - began;
      bytes += (chunk as Uint8Array).length;
      if (performance.now() - began > 20_000) break;
    }
    const seconds = (performance.now() - began) / 1000;
    const perSecond = Number((bytes / 1e6 / seconds).toFixed(1));
    const megabytes = Number((bytes / 1e6).toFixed(1));
    told[file] = {
      firstByteMs: Math.round(first),
      megabytes,
      seconds,
      megabytesPerSecond: perSecond,
    };
  }
  return told;
}

/** The most memory that a process held, and what it holds now, MB. */
function memoryOf(pid: number): { readonly most: number; readonly now: number } | null {
  const file = `/proc/${pid}/status`;
  if (!existsSync(file)) return null;
  const text = readFileSync(file, 'utf8');
  const read = (name: string): number =>
    Math.round(Number(new RegExp(`${name}:\\s+(\\d+)`).exec(text)?.[1] ?? 0) / 1000);
  return { most: read('VmHWM'), now: read('VmRSS') };
}

async function measured(kind: 'sqlite' | 'postgres') {
  const folder = values.folder ?? mkdtempSync(join(tmpdir(), 'stillwire-office-'));
  mkdirSync(folder, { recursive: true });
  const postgres = kind === 'postgres' ? await startPostgres() : null;
  const env = {
    STILLWIRE_DATA: folder,
    STILLWIRE_LOG_LEVEL: 'error',
    ...(postgres === null ? {} : { DATABASE_URL: postgres.address }),
  };
  const read = readSettings(env);
  if (!read.ok) throw new Error(read.problems.join(' '));
  const opened = async <T>(work: (house: House) => Promise<T>): Promise<T> => {
    const house = await openHouse(read.settings);
    try {
      return await work(house);
    } finally {
      await house.close();
    }
  };
  const served = async <T>(work: (url: string, pid: number) => Promise<T>): Promise<T> => {
    const server = await startApp(env);
    try {
      return await work(server.url, server.pid);
    } finally {
      await server.stop();
    }
  };
  try {
    const began = performance.now();
    const isFilled = existsSync(join(folder, 'filled'));
    let small: Record<string, Told> | null = null;
    const fill = (from: number, upTo: number) =>
      opened(async (house) => {
        if (from === 0) await demonstrationCrew(house);
        await copyJobs(house, await mastersIn(house), { from, upTo, all: jobs });
        const { database, photos, now } = house;
        await screenCrew({ database, photos, now }, true);
      });
    if (!isFilled) {
      says(`filling ${jobs / 10} jobs, and asking`);
      await fill(0, jobs / 10);
      await opened(programmeOf);
      const place = await opened(placeIn);
      small = await served((url) => serverTimes(url, place));
      says(`filling ${jobs} jobs`);
      await fill(jobs / 10, jobs);
      mkdirSync(join(folder, 'filled'));
    }
    const secondsToFill = Math.round((performance.now() - began) / 1000);
    const place = await opened(placeIn);
    const counts = await opened(async ({ database: { rows } }) => ({
      jobs: Number(
        (
          await rows
            .selectFrom('jobs')
            .select((is) => is.fn.countAll().as('n'))
            .executeTakeFirstOrThrow()
        ).n,
      ),
      entries: Number(
        (await rows.selectFrom('tree').select('size').executeTakeFirstOrThrow()).size,
      ),
    }));
    return await served(async (url, pid) => {
      const atRest = memoryOf(pid);
      says('asking the server, then in a browser');
      const pages = await serverTimes(url, place);
      const afterPages = memoryOf(pid);
      const usable =
        kind === 'postgres' || values['no-browser']
          ? null
          : await usableAfter(
              url,
              place.cookie,
              Object.entries(pagesOf(place)).filter(([name]) => !isDrawnElsewhere(name)),
              LOADED,
            );
      const files = await fileTimes(url, place);
      const file = join(folder, 'records.sqlite');
      return {
        ...counts,
        gigabytes: existsSync(file) ? Number((statSync(file).size / 1e9).toFixed(2)) : null,
        secondsToFill,
        pages: Object.fromEntries(
          Object.entries(pages).map(([name, told]) => [
            name,
            { ...told, ...(small === null ? {} : { medianAtOneTenth: small[name]?.median }) },
          ]),
        ),
        usable,
        files,
        memory: { atRest, afterPages, afterAll: memoryOf(pid) },
      };
    });
  } finally {
    await postgres?.stop();
    if (!values.keep) rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
  }
}

const kinds = (['sqlite', 'postgres'] as const).filter((kind) => (values.only ?? kind) === kind);
const told: Record<string, unknown> = {};
for (const kind of kinds) told[kind] = await measured(kind);
process.stdout.write(`${JSON.stringify(told, null, 2)}\n`);
