/**
 * `record.clock`: do the two clocks of the record tell one story, and are their quarrels noted in it?
 *
 * The wall clock can be set by hand and the running clock stops when a device restarts; neither is
 * trusted alone, and nothing here says that either was right.
 */
import { OFFICE_APART_S } from '../../job/events.ts';
import { instantOf } from '../../record/instant.ts';
import type { Entry } from '../../record/entry.ts';
import type { SealedEntry } from '../../record/sealed.ts';
import { uuidTime } from '../../record/uuid.ts';
import type { Examined } from '../examined.ts';
import { failure, judged, remark } from '../report.ts';
import type { Finding, Verdict } from '../report.ts';
import { unreadable } from './container.ts';
import { lineAt } from './record.ts';

/** A wall clock that falls behind the running clock by more than this must be noted. House default. */
const BACK_MS = 2_000;
/** The same, ahead: some devices stop the running clock while they sleep. House default. */
const AHEAD_MS = 120_000;
/** A job whose number was made this long before or after its first entry is worth a question. */
const NUMBER_MS = 24 * 60 * 60 * 1000;

export function checkClock(bag: Examined): Verdict {
  const { sealed } = bag;
  const events = bag.story;
  if (sealed === null || events === null) return unreadable('the record');
  const findings: Finding[] = [];
  let before: Ticked | null = null;
  for (const { entry } of sealed) {
    const now: Ticked = { entry, wall: msOf(entry.at) };
    if (before !== null) findings.push(...pairFindings(before, now));
    before = now;
  }
  findings.push(...actedFindings(events, sealed), ...seenFindings(sealed));
  const first = sealed[0]?.entry;
  if (first !== undefined && Math.abs(uuidTime(first.job) - msOf(first.at)) > NUMBER_MS) {
    findings.push(
      remark(
        'job-number-time',
        'The number of the job was not made on the day of its first entry.',
        lineAt(0),
      ),
    );
  }
  findings.push(...officeFindings(events));
  const noted = sealed.filter(({ entry }) => isNote(entry)).length;
  const says = noted === 0 ? 'no quarrel between them' : `${noted} notes on their quarrels`;
  return judged(
    findings,
    `The wall clock and the running clock agree from entry to entry, with ${says}.`,
  );
}

/** What the two clocks of the device say against each other; the office's clock excuses neither. */
const isNote = ({ type, body }: Entry): boolean =>
  type === 'clock.noted' && body['what'] !== 'office';

const msOf = (at: string): number => instantOf(at)?.ms ?? Number.NaN;

interface Ticked {
  readonly entry: Entry;
  readonly wall: number;
}

const NONE: readonly Finding[] = [];

function pairFindings(before: Ticked, after: Ticked): readonly Finding[] {
  const [one, two] = [before.entry, after.entry];
  const wall = after.wall - before.wall;
  const noted = isNote(two);
  const ran = two.mono - one.mono;
  const quiet = wall - ran >= -BACK_MS && wall - ran <= AHEAD_MS;
  if (one.boot === two.boot && ran >= 0 && (noted || quiet)) return NONE;
  const where = lineAt(two.seq);
  if (one.boot !== two.boot) {
    if (noted) return NONE;
    return [
      failure(
        'clock-restart',
        `Before entry ${two.seq} the running clock began anew, and nothing notes it.`,
        where,
      ),
    ];
  }
  if (ran < 0) {
    return [
      failure(
        'clock-running-back',
        `At entry ${two.seq} the running clock goes back, which it never does.`,
        where,
      ),
    ];
  }
  const drift = Math.round((wall - ran) / 1000);
  if (wall < ran) {
    return [
      failure(
        'clock-back',
        `At entry ${two.seq} the wall clock is ${-drift} s behind the running clock, and nothing notes it.`,
        where,
      ),
    ];
  }
  return [
    failure(
      'clock-ahead',
      `At entry ${two.seq} the wall clock is ${drift} s ahead of the running clock, and nothing notes it.`,
      where,
    ),
  ];
}

type Events = NonNullable<Examined['story']>;

/** Wrong against the office's clock is no forgery: a remark, with which every time can be read. */
function officeFindings(events: Events): Finding[] {
  return events.flatMap((event, seq): Finding[] => {
    if (event.type !== 'clock.noted' || event.body.what !== 'office') return [];
    const { seconds } = event.body;
    if (Math.abs(seconds) < OFFICE_APART_S) return [];
    const way = seconds < 0 ? 'behind' : 'ahead of';
    return [
      remark(
        'clock-office',
        `At entry ${seq} the clock of the device was ${Math.abs(seconds)} s ${way} the clock of the office.`,
        lineAt(seq),
      ),
    ];
  });
}

/** An entry about an earlier act says when that was; it cannot have been later than the entry. */
function actedFindings(events: Events, sealed: readonly SealedEntry[]): Finding[] {
  return events.flatMap((event, seq): Finding[] => {
    const acted = event.type === 'step.done' ? event.body.acted : undefined;
    if (acted === undefined) return [];
    const at = instantOf(acted)?.ms;
    if (at !== undefined && at <= msOf(sealed[seq]?.entry.at ?? '')) {
      return [
        remark('late-entry', `Entry ${seq} is a late entry about an act at ${acted}.`, lineAt(seq)),
      ];
    }
    return [
      failure(
        'acted-later',
        `Entry ${seq} is about an act at “${acted}”, which is not before the entry.`,
        lineAt(seq),
      ),
    ];
  });
}

/** The newest checkpoint that a device had seen only ever grows, log by log. */
function seenFindings(sealed: readonly SealedEntry[]): Finding[] {
  const newest = new Map<string, { readonly size: number; readonly root: string }>();
  const findings: Finding[] = [];
  for (const { entry } of sealed) {
    if (entry.seen === undefined) continue;
    const { origin, size, root } = entry.seen;
    const last = newest.get(origin);
    if (last !== undefined && (size < last.size || (size === last.size && root !== last.root))) {
      findings.push(
        failure(
          'seen-shrinks',
          `Entry ${entry.seq} had seen less of the log “${origin}” than an entry before it: it was made earlier than it says.`,
          lineAt(entry.seq),
        ),
      );
    } else {
      newest.set(origin, { size, root });
    }
  }
  return findings;
}
