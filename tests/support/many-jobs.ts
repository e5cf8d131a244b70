/**
 * Very many jobs for the office: copies of those that the made-up crew really ran, spread over six years and
 * two hundred people. They stay marked as a demonstration.
 *
 * What is as ingest leaves it: every row, the form and hash of every line, the tiles of the tree, the signed
 * checkpoints. What is not: a copied line carries the signature and the hash of the entry before from the
 * line that it was copied from, so a copy does not verify. No page of the office verifies a record.
 */
import { leafHash, uuidV7 } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows, Writing } from '#lib/server/database/database.ts';
import type { DisclosureTable, JobTable, LeafTable } from '#lib/server/database/tables.ts';
import type { House } from '#lib/server/house.ts';
import type { NewLeaf } from '#lib/server/log/organisation-log.ts';
import { sealedWords } from '#lib/server/looks/words-kept.ts';
import { seeded } from './made-crew.ts';

const DAY = 86_400_000;
const YEARS = 6;
const AT_ONCE = 200;
/** As many of the last jobs are open as the board shows at once, and some more. */
const AMONG_LAST = 2000;
const FIRST = ['Ada', 'Bo', 'Cleo', 'Dario', 'Enid', 'Faro', 'Gus', 'Hedda', 'Ivo', 'Jun'];
const LAST = ['Arkwell', 'Brandt', 'Corvi', 'Dunmore', 'Eskel', 'Farrow', 'Gant', 'Holm', 'Imber'];
const PEOPLE = 200;

/** What differs from copy to copy, as it stands in the text of a line; no line holds these signs. */
const [JOB, BY, AT, PHOTO] = ['\ue000', '\ue001', '\ue002', '\ue003'];
const MARKS = /([\ue000-\ue003])/u;

interface CopiedLine extends Pick<LeafTable, 'seq' | 'type'> {
  readonly parts: readonly string[];
  /** Milliseconds after the first entry. */
  readonly since: number;
}

interface Master {
  readonly row: JobTable;
  readonly lines: readonly CopiedLine[];
  readonly disclosures: readonly DisclosureTable[];
  /** All digits of a digest but the last twelve. */
  readonly photos: readonly string[];
}

export type Masters = readonly Master[];

const personNo = (no: number): string => `made-up.p${no % PEOPLE}`;

/** The jobs of the made-up crew in this house, and two hundred people to copy them for. */
export async function mastersIn({ database }: House): Promise<Masters> {
  const { rows } = database;
  await rows
    .insertInto('people')
    .values(
      Array.from({ length: PEOPLE }, (_, no) => ({
        id: personNo(no),
        name: `${FIRST[no % 10]} ${LAST[no % 9]} ${no} (made up)`,
        made_at: 0,
      })),
    )
    .onConflict((on) => on.column('id').doNothing())
    .execute();
  const jobs = await rows.selectFrom('jobs').selectAll().where('demo', '=', 1).execute();
  return Promise.all(jobs.map((row) => masterOf(rows, row)));
}

async function masterOf(rows: Rows, row: JobTable): Promise<Master> {
  const leaves = await rows
    .selectFrom('leaves')
    .select(['seq', 'type', 'at', 'line'])
    .where('job_no', '=', row.no)
    .where('side', '=', 0)
    .orderBy('seq')
    .execute();
  const disclosures = await rows
    .selectFrom('disclosures')
    .selectAll()
    .where('job_no', '=', row.no)
    .execute();
  const photos = new Set<string>();
  const began = leaves[0]?.at ?? 0;
  const lines = leaves.map(({ seq, type, at, line }): CopiedLine => {
    const text = new TextDecoder()
      .decode(new Uint8Array(line))
      .replaceAll(row.job, JOB)
      .replaceAll(`"${row.opened_by}"`, `"${BY}"`)
      .replaceAll(new Date(at).toISOString(), AT)
      .replaceAll(/"photos":\[[^\]]*\]/gu, (named) =>
        named.replaceAll(/([0-9a-f]{52})[0-9a-f]{12}/gu, (_, kept: string) => {
          photos.add(kept);
          return `${kept}${PHOTO}`;
        }),
      );
    return { seq, type, parts: text.split(MARKS), since: at - began };
  });
  return { row, lines, disclosures, photos: [...photos] };
}

/** @returns which of the jobs a copy is made of, and when its first entry was made */
function chosen(masters: Masters, no: number, all: number, now: number) {
  const of = (status: JobTable['status']): Masters =>
    masters.filter(({ row }) => row.status === status);
  const fromEnd = all - no;
  const open = fromEnd <= AMONG_LAST ? no % 10 : -1;
  const status =
    open === 0
      ? 'atWork'
      : open === 1
        ? 'parkedShut'
        : no % 97 === 0
          ? 'refused'
          : ('handedBack' as const);
  const some = of(status);
  const master = some[no % some.length];
  if (master === undefined) throw new Error(`No job of the made-up crew is ${status}.`);
  const ago = YEARS * 365 * DAY * (fromEnd / all);
  // Who is at work began within three days; what is parked has waited for up to four weeks.
  const waits = { atWork: 3 * DAY, parkedShut: 28 * DAY }[status as 'atWork'];
  const from = now - DAY / 6 - (waits === undefined ? ago : (waits * fromEnd) / AMONG_LAST);
  return { master, from: Math.floor(from) };
}

/** Copies number `from` to `upTo` of `all`, in order, as batches of the log. */
export async function copyJobs(
  house: House,
  masters: Masters,
  { from, upTo, all }: { readonly from: number; readonly upTo: number; readonly all: number },
): Promise<void> {
  const random = seeded(from + 1);
  for (let first = from; first < upTo; first += AT_ONCE) {
    const numbers = Array.from({ length: Math.min(AT_ONCE, upTo - first) }, (_, at) => first + at);
    await house.log.append(async (rows) => {
      const { last } = await rows
        .selectFrom('jobs')
        .select((is) => is.fn.max('no').as('last'))
        .executeTakeFirstOrThrow();
      const copies = numbers.map((no, at) => {
        const { master, from: begun } = chosen(masters, no, all, house.now());
        const bytes = Uint8Array.from({ length: 10 }, () => Math.floor(random() * 256));
        return copyOf(master, no, (last ?? 0) + 1 + at, begun, uuidV7(begun, bytes));
      });
      await keep(rows, copies, numbers);
      return { leaves: copies.flatMap(({ leaves }) => leaves), value: undefined };
    });
    await house.log.sign();
  }
}

interface Copy extends Pick<Master, 'disclosures' | 'photos'> {
  readonly row: JobTable;
  readonly leaves: readonly NewLeaf[];
}

function copyOf(master: Master, number: number, no: number, from: number, job: string): Copy {
  const by = personNo(number * 7);
  const tail = number.toString(16).padStart(12, '0');
  const leaves = master.lines.map(({ seq, type, parts, since }): NewLeaf => {
    const at = from + since;
    const told = { [JOB]: job, [BY]: by, [AT]: new Date(at).toISOString(), [PHOTO]: tail };
    const line = new TextEncoder().encode(parts.map((part) => told[part] ?? part).join(''));
    const hash = leafHash(line, nodePrimitives);
    return { hash, kind: 'entry', job_no: no, seq, side: 0, type, by, at, line };
  });
  const end = leaves.at(-1);
  if (end === undefined) throw new Error('A job without entries was to be copied.');
  const ids = { no, job, head: end.hash, opened_by: by, last_by: by };
  const times = { opened_at: from, last_at: end.at, received_at: end.at };
  const due_at = master.row.due_at === null ? null : end.at + 9 * DAY;
  return {
    row: { ...master.row, ...ids, ...times, due_at, judged: master.row.count },
    leaves,
    disclosures: master.disclosures.map((one) => ({ ...one, job_no: no })),
    photos: master.photos.map((kept) => `${kept}${tail}`),
  };
}

async function keep(rows: Writing, copies: readonly Copy[], numbers: readonly number[]) {
  await rows
    .insertInto('jobs')
    .values(copies.map(({ row }) => row))
    .execute();
  const uses = copies.flatMap(({ row, photos }) =>
    photos.map((sha256) => ({ sha256, job_no: row.no })),
  );
  const told = copies.flatMap(({ disclosures }) => disclosures);
  for (let at = 0; at < uses.length; at += 1000)
    await rows
      .insertInto('photo_uses')
      .values(uses.slice(at, at + 1000))
      .execute();
  for (let at = 0; at < told.length; at += 1000)
    await rows
      .insertInto('disclosures')
      .values(told.slice(at, at + 1000))
      .execute();
  await keepFlags(rows, copies, numbers);
  await keepCountersigned(rows, copies);
}

/** One job in forty has a flag, settled but for the newest; one in fifty is countersigned. */
async function keepFlags(rows: Writing, copies: readonly Copy[], numbers: readonly number[]) {
  const { last } = await rows
    .selectFrom('flags')
    .select((is) => is.fn.max('no').as('last'))
    .executeTakeFirstOrThrow();
  const flags = copies
    .filter((_, at) => (numbers[at] ?? 0) % 40 === 0)
    .map(({ row }, at) => ({
      no: (last ?? 0) + 1 + at,
      code: 'safety',
      job_no: row.no,
      idx: null,
      says: 'Entry 5, P2: made up for this measure.',
      raised_at: row.last_at,
      settled_at: row.last_at < Date.now() - 30 * DAY ? row.last_at + DAY : null,
      settled_by: null,
      settled_why: null,
    }));
  if (flags.length > 0) await rows.insertInto('flags').values(flags).execute();
}

async function keepCountersigned(rows: Writing, copies: readonly Copy[]) {
  const { last } = await rows
    .selectFrom('office_words')
    .select((is) => is.fn.max('no').as('last'))
    .executeTakeFirstOrThrow();
  const words = copies
    .filter((_, at) => at % 50 === 0)
    .map(({ row }, at) => ({
      no: (last ?? 0) + 1 + at,
      kind: 'countersign',
      look_no: null,
      job: row.job,
      seq: row.count - 1,
      by: 'console',
      at: row.last_at + DAY,
      ...sealedWords('Read.'),
    }));
  if (words.length > 0) await rows.insertInto('office_words').values(words).execute();
}
