/**
 * Jobs, devices, link, clocks and server under one seed. `npm run simulate` runs thousands of jobs;
 * SIMULATED_JOBS and SIMULATION_SEED say how many and which. A seed that ever failed is added here and stays.
 */
import { describe, expect, test } from 'vitest';
import { kiln, lamp } from '../support/job-builder.ts';
import { simulate } from '../support/simulation.ts';
import { emptyPlace } from '../support/test-database.ts';

const jobs = Number(process.env.SIMULATED_JOBS ?? 45);
const asked = process.env.SIMULATION_SEED;
const seeds = asked === undefined ? [1, 20261128] : [Number(asked)];

describe.each(seeds)('the world of seed %i', (seed) => {
  test('agrees in the end with every judge', { timeout: 3_600_000 }, async () => {
    const place = await emptyPlace('sqlite');
    try {
      const { tally, faults } = await simulate(seed, jobs, [lamp(), kiln()], place);
      process.stdout.write(`seed ${seed}: ${JSON.stringify(tally)}\n`);
      expect(faults).toEqual([]);
      expect(tally.jobs).toBe(jobs);
      // What never happened was not tried.
      for (const [what, times] of Object.entries(tally)) expect(times, what).toBeGreaterThan(0);
    } finally {
      await place.remove();
    }
  });
});
