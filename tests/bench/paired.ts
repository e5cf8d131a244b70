/** Two or more ways of doing one thing, taken turn by turn in one run: medians, spreads, and the ratio first. */

export interface Way {
  readonly name: string;
  /** Does `count` units of work; what it comes to is checked before anything is timed. */
  run(): Promise<void> | void;
}

/** A row that has no figures here, and why. */
export interface Skipped {
  readonly name: string;
  readonly skipped: string;
}

export interface Row {
  readonly name: string;
  /** Ours first in every sentence: what is compared with what. */
  readonly says: string;
  /** Units of work a run. */
  readonly units: number;
  readonly unit: string;
  /** By way: units a second, median, and half the spread between the quartiles as a share of it. */
  readonly ways: Readonly<Record<string, { readonly perSecond: number; readonly spread: number }>>;
  readonly ratios: readonly {
    readonly to: string;
    /** Median over the rounds, each a pair taken one after the other. */
    readonly ratio: number;
    /** Half of what lies between the quartiles, as a share of it. */
    readonly spread: number;
    readonly goal: string;
    /** Null where the other is there to be compared with, and there is no goal. */
    readonly met: boolean | null;
  }[];
  /** The most memory that the process of the bench held until here, MB. */
  readonly megabytes: number;
}

const sortedUp = (all: readonly number[]): number[] => [...all].sort((a, b) => a - b);

function medianOf(all: readonly number[]): number {
  return sortedUp(all)[Math.floor(all.length / 2)] ?? 0;
}

/** Half of what lies between the quartiles, as a share of the median. */
function spreadOf(all: readonly number[]): number {
  const sorted = sortedUp(all);
  const quarter = (share: number): number => sorted[Math.floor(sorted.length * share)] ?? 0;
  return Number(((quarter(0.75) - quarter(0.25)) / 2 / medianOf(all)).toFixed(3));
}

/** Seconds on the clock, and seconds of this process on any processor: on a busy machine they differ. */
const CLOCKS = {
  wall: () => performance.now() / 1000,
  processor: () => {
    const { user, system } = process.cpuUsage();
    return (user + system) / 1e6;
  },
} as const;

const WARM_SECONDS = 1;

/** At least once, and until the compiler has had time for it. */
async function warmUp({ run }: Way): Promise<void> {
  const until = performance.now() + WARM_SECONDS * 1000;
  do await run();
  while (performance.now() < until);
}

/**
 * Seconds of each way, by name, `rounds` of them after it has warmed up.
 * @param by `processor` only for ways that neither wait nor use other processes
 */
export async function timed(
  ways: readonly Way[],
  rounds: number,
  by: keyof typeof CLOCKS = 'wall',
): Promise<Map<string, number[]>> {
  const clock = CLOCKS[by];
  const seconds = new Map<string, number[]>(ways.map(({ name }) => [name, []]));
  // One round is for its truth, not for its time.
  if (rounds > 1) for (const way of ways) await warmUp(way);
  for (let round = 0; round < rounds; round += 1) {
    // Another order each time: none is always the one after the garbage of the others.
    const turn = [...ways.slice(round % ways.length), ...ways.slice(0, round % ways.length)];
    for (const way of turn) {
      const before = clock();
      await way.run();
      seconds.get(way.name)?.push(clock() - before);
    }
  }
  return seconds;
}

export function rowOf(
  given: Pick<Row, 'name' | 'says' | 'units' | 'unit'>,
  seconds: ReadonlyMap<string, readonly number[]>,
  goals: readonly {
    readonly ours: string;
    readonly to: string;
    /** How many times as fast as the other (`least`), or how many times its time (`most`); with neither the time, no goal. */
    readonly least?: number;
    readonly most?: number;
  }[],
): Row {
  const ways = Object.fromEntries(
    [...seconds].map(([name, all]) => [
      name,
      { perSecond: Math.round(given.units / medianOf(all)), spread: spreadOf(all) },
    ]),
  );
  const ratios = goals.map(({ ours, to, least, most }) => {
    const others = seconds.get(to) ?? [];
    // Taken in pairs: what slows the machine for a while slows both of a pair.
    const each = (seconds.get(ours) ?? []).map((one, round) =>
      least === undefined ? one / (others[round] ?? 0) : (others[round] ?? 0) / one,
    );
    const times = medianOf(each);
    const given = { to, ratio: Number(times.toPrecision(3)), spread: spreadOf(each) };
    if (least !== undefined)
      return { ...given, goal: `at least ${least} times as fast`, met: times >= least };
    if (most !== undefined)
      return { ...given, goal: `at most ${most} of its time`, met: times <= most };
    return { ...given, goal: 'no goal', met: null };
  });
  const megabytes = Math.round(process.resourceUsage().maxRSS / 1000);
  return { ...given, ways, ratios, megabytes };
}

/** The row with a limit in milliseconds beside it, held by the median. */
export function withLimit(row: Row, what: string, seconds: readonly number[], mostMs: number): Row {
  const ms = medianOf(seconds) * 1000;
  const limit = {
    to: `${mostMs} ms (${what}: ${ms.toFixed(ms < 10 ? 1 : 0)} ms)`,
    ratio: Number((ms / mostMs).toPrecision(3)),
    spread: spreadOf(seconds),
    goal: `at most ${mostMs} ms`,
    met: ms <= mostMs,
  };
  return { ...row, ratios: [...row.ratios, limit] };
}
