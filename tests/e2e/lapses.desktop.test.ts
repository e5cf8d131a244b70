// The lapse table on the screen: the same exposed job again and again, one event each, said in one touch.
// The exposed step closes at once, and exactly the right steps stand open again.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { closePanel, handsOver, joinsByName, more } from '../support/panels.ts';
import { plant } from '../support/planted-job.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';
import { prepared, ROWS, type LapseRow } from '../replays/lapse-rows.ts';

test.setTimeout(120_000);

const MINUTE = 60_000;
const jobId = (number: number) =>
  `019ac0de-7000-7abc-8def-${number.toString(16).padStart(12, '0')}`;

/** What the whole list beside the step says has to be done again, in order. */
async function askedAgain(page: Page): Promise<readonly string[]> {
  return page.locator('aside button.lapsed .say').allTextContents();
}

/** What takes more than one touch to say. */
const BY_HAND: Readonly<Record<string, (hand: JobHand) => Promise<void>>> = {
  'a helper joins': async (hand) => {
    await joinsByName(hand, 'Ilse Brandt');
    await closePanel(hand);
  },
  'a helper leaves after the roll call': async (hand) => {
    await more(hand, /^People/u);
    await hand.hold('Ilse Brandt leaves');
    await closePanel(hand);
  },
  'a shift ends: handed over, the incoming lock on first': async (hand) => {
    await joinsByName(hand, 'Ilse Brandt');
    await closePanel(hand);
    await handsOver(hand, 'Ilse Brandt', '7');
  },
};

/** Ilse has no key on this device until she joins by her name, so she is not among those already here. */
const plantable = (row: LapseRow): LapseRow =>
  row.hand === undefined ? row : { ...row, before: [] };

const onScreen = ROWS.filter(({ name, touches }) => touches !== undefined || name in BY_HAND);

async function happens(hand: JobHand, { name, touches = [], goneMs }: LapseRow): Promise<void> {
  const byHand = BY_HAND[name];
  if (byHand !== undefined) return byHand(hand);
  if (goneMs === undefined) await more(hand, /^Something changed/u);
  for (const touch of touches) await hand.tap(touch);
}

const heading = (page: Page) => page.getByRole('heading', { level: 1 });

test('each row of the lapse table closes the open machine and asks for exactly what it ended', async ({
  page,
}) => {
  const [first] = onScreen;
  if (first === undefined) throw new Error('The table is empty.');
  await page.clock.install({ time: Date.parse((await prepared(first)).last.at) });
  await page.goto('/jobs');
  await expect(page.getByText('Start')).not.toHaveCount(0);
  for (const [number, row] of onScreen.entries())
    await plant(page, await prepared(plantable(row)), jobId(number));
  page.setDefaultTimeout(15_000);
  const hand = new JobHand(page);
  hand.quick = true;

  for (const [number, row] of onScreen.entries()) {
    const at = Date.parse((await prepared(row)).last.at);
    const due = row.due ?? row.until;
    await page.clock.setSystemTime(at + (row.goneMs ?? 20_000));
    await page.goto(`/jobs/${jobId(number)}`);
    if (row.goneMs === undefined) {
      // Before it: the exposed step is due and can be done.
      await expect(heading(page), row.name).toHaveText(step(due).say);
      await expect(page.locator('article .waits, article [class*="refus"]')).toHaveCount(0);
    } else {
      const back = page.getByRole('dialog', { name: 'Back at the job' });
      await expect(back, row.name).toContainText('Story so far');
      await expect(back).toContainText(`${Math.floor(row.goneMs / MINUTE)} min`);
      await expect(back).toContainText('Nothing here can tell how long things stood');
      for (const id of row.byItself ?? []) await expect(back).toContainText(step(id).say);
    }
    await happens(hand, row);
    await expect(page.getByRole('dialog'), row.name).toHaveCount(0);
    await expect
      .poll(() => askedAgain(page), row.name)
      .toEqual(row.asked.map((id) => step(id).say));
    if (row.asked.length === 0) {
      await expect(heading(page), row.name).toHaveText(step(due).say);
      continue;
    }
    if (row.closes === false) continue;
    // The nearest of them is due (where a newcomer has no lock yet, the exposed step says that first), and the exposed step says why it waits instead of opening.
    await expect(heading(page), row.name).toHaveText(step(row.shows ?? row.asked[0] ?? '').say);
    await page
      .locator('aside')
      .getByRole('button', { name: step(due).say })
      .click();
    await expect(heading(page)).toHaveText(step(due).say);
    await expect(page.locator('article input[type="file"], article button.act')).toHaveCount(0);
  }
});
