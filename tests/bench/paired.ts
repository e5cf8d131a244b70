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
    readonly ratio: number;
    readonly goal: string;
    readonly met: boolean;
  }[];
  /** Resident memory of this process after the row, MB. */
  readonly megabytes: number;
}

const median = (sorted: readonly number[]): number => sorted[Math.floor(sorted.length / 2)] ?? 0;

/** Seconds of each way, by name, `rounds` of them after one to warm up. */
export async function timed(ways: readonly Way[], rounds: number): Promise<Map<string, number[]>> {
  const seconds = new Map<string, number[]>(ways.map(({ name }) => [name, []]));
  for (let round = 0; round <= rounds; round += 1) {
    // Another order each time: none is always the one after the garbage of the others.
    const turn = [...ways.slice(round % ways.length), ...ways.slice(0, round % ways.length)];
    for (const way of turn) {
      const before = performance.now();
      await way.run();
      if (round > 0) seconds.get(way.name)?.push((performance.now() - before) / 1000);
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
    /** How many times as fast as the other (`least`), or how many times its time (`most`). */
    readonly least?: number;
    readonly most?: number;
  }[],
): Row {
  const sorted = new Map([...seconds].map(([name, all]) => [name, [...all].sort((a, b) => a - b)]));
  const of = (name: string): number => median(sorted.get(name) ?? []);
  const ways = Object.fromEntries(
    [...sorted].map(([name, all]) => {
      const low = all[Math.floor(all.length / 4)] ?? 0;
      const high = all[Math.floor((all.length * 3) / 4)] ?? 0;
      return [
        name,
        {
          perSecond: Math.round(given.units / median(all)),
          spread: Number(((high - low) / 2 / median(all)).toFixed(3)),
        },
      ];
    }),
  );
  const ratios = goals.map(({ ours, to, least, most }) => {
    const times = least === undefined ? of(ours) / of(to) : of(to) / of(ours);
    const met = least === undefined ? times <= (most ?? 0) : times >= least;
    const goal =
      least === undefined ? `at most ${most} of its time` : `at least ${least} times as fast`;
    return { to, ratio: Number(times.toPrecision(3)), goal, met };
  });
  const megabytes = Math.round(process.memoryUsage().rss / 1e6);
  return { ...given, ways, ratios, megabytes };
}
