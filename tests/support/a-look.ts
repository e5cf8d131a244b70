import type { Finding } from '#lib/core/screen/finding.ts';
import type { Rows } from '#lib/server/database/database.ts';

/** Keeps a second look about a clock that went back, as looking through the records would have found it. */
export async function aLook(rows: Rows, no: number, person: string): Promise<void> {
  const job = '01890a5d-ac96-774b-bcce-b302099a8057';
  const finding: Finding = {
    rule: 'D11',
    weight: 'ask',
    job,
    jobs: [],
    person,
    steps: [],
    figures: { seconds: 200 },
  };
  await rows
    .insertInto('looks')
    .values({
      no,
      mark: `mark ${no}`,
      demo: 0,
      rule: finding.rule,
      weight: finding.weight,
      person,
      job,
      finding: JSON.stringify({ finding, thresholds: {} }),
      found_at: 1,
      asked_at: null,
      answered_at: null,
      closed_at: null,
      closed_as: null,
    })
    .execute();
}
