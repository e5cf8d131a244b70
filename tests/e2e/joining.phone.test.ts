// Two people, two phones: one joins by the code on the other's screen, and from there on by a PIN.
import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { codeIn } from '../support/code-in.ts';
import { JobHand } from '../support/job-hand.ts';
import { choosesPin, closePanel, givesPin, more } from '../support/panels.ts';
import { plant } from '../support/planted-job.ts';
import { rangeUntil } from '../support/prepared-job.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';

test.setTimeout(90_000);

const JOB = '019ac0de-7000-7abc-8def-0000000c0de0';
const BO = 'Bo Castell';

async function accessible(page: Page): Promise<void> {
  const seen = await new AxeBuilder({ page }).analyze();
  expect(seen.violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
}

/** The code signed on a phone; answers with what its screen shows. */
async function signs(phone: Page, address: string): Promise<string> {
  await phone.goto(address);
  await phone.getByRole('button', { name: `Sign and join as ${BO}` }).click();
  return codeIn(phone.getByRole('img', { name: 'Your answer, as a square' }));
}

/** The same on a phone that never saw this program before, by typing. */
async function signsFirst(phone: Page, address: string): Promise<string> {
  await phone.goto(address);
  const code = phone.getByLabel('Code on the screen of the job');
  await expect(code).toHaveValue(/^[0-9A-Z]{4}-[0-9A-Z]{4}-[0-9A-Z]{4}$/u);
  const shown = await code.inputValue();
  // One letter that was read wrong is found before anything is signed.
  await code.fill(shown.slice(0, -1) + (shown.endsWith('7') ? '8' : '7'));
  await phone.getByLabel('Name', { exact: true }).fill(BO);
  await phone.getByRole('button', { name: 'Sign and join' }).click();
  await expect(phone.getByRole('alert')).toContainText('A letter of the code is wrong or missing');
  await accessible(phone);
  await code.fill(shown.toLowerCase().replaceAll('-', ' '));
  await phone.getByRole('button', { name: 'Sign and join' }).click();
  const answer = phone.getByRole('img', { name: 'Your answer, as a square' });
  await expect(answer).toBeVisible();
  await accessible(phone);
  return codeIn(answer);
}

test('somebody joins by a code with a key of their own, and says clear with a PIN', async ({
  page,
  browser,
}) => {
  const job = await rangeUntil('clear');
  await page.clock.install({ time: Date.parse(job.last.at) + 20_000 });
  page.setDefaultTimeout(15_000);
  await page.goto('/jobs');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await plant(page, job, JOB);
  await page.goto(`/jobs/${JOB}`);
  const hand = new JobHand(page);
  hand.quick = true;
  await hand.at(step('clear').say);

  const dialog = page.getByRole('dialog');
  await more(hand, /^People/u);
  await hand.tap(/^Join by a code/u);
  const square = page.getByRole('img', { name: 'Code to join this job, as a square' });
  await expect(square).toBeVisible();
  await accessible(page);
  const phone = await (await browser.newContext()).newPage();
  const answer = await signsFirst(phone, await codeIn(square));

  // An answer to another code, and one that was cut off on its way, let nobody in.
  const text = page.getByLabel('Text of the answer');
  await text.fill(answer.slice(0, -8));
  await hand.tap('Read the answer');
  await expect(dialog.getByRole('alert')).toContainText('a part of it is missing');
  await hand.tap('Show a new code');
  await expect(dialog.getByRole('alert')).toHaveCount(0);
  await text.fill(answer);
  await hand.tap('Read the answer');
  await expect(dialog.getByRole('alert')).toContainText('for another code');
  const second = await signs(phone, await codeIn(square));

  // The camera opens the answer in another window of the device; the job hears of it.
  const opened = await page.context().newPage();
  await opened.goto(second);
  await expect(opened.getByText(`The answer of ${BO} is here`)).toBeVisible();
  await accessible(opened);
  await opened.close();
  await expect(dialog).toContainText(`${BO} has signed the code on a device of their own.`);
  await expect(page.getByRole('button', { name: `${BO} joins the job` })).toHaveCount(0);
  await choosesPin(hand);
  await accessible(page);
  await hand.hold(`${BO} joins the job`);
  await expect(page.getByRole('button', { name: `${BO} leaves` })).toBeVisible();

  // The same answer once more.
  await hand.tap(/^Join by a code/u);
  await text.fill(second);
  await hand.tap('Read the answer');
  await expect(dialog.getByRole('alert')).toContainText('Somebody has joined by this code already');
  await closePanel(hand);

  // Clear is Bo's to say, and Bo's alone.
  await hand.at(step('clear').say);
  await hand.hold(`${BO}: clear`);
  await givesPin(hand, BO, '0000');
  await expect(dialog.getByRole('alert')).toHaveText(`That is not the PIN of ${BO}.`);
  await accessible(page);
  await page.keyboard.press('Escape');
  await expect(page.getByText(`${BO} said clear`)).toHaveCount(0);
  await hand.hold(`${BO}: clear`);
  await givesPin(hand, BO);
  await expect(page.getByText(`${BO} said clear`)).toBeVisible();

  // Mara goes on after the page was loaded again, though Bo acted last; nobody is asked for a PIN.
  await page.reload();
  await hand.at(step('clear').say);
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await expect(page.getByText('By a code, signed on a device of their own')).toBeVisible();
  await expect(page.getByText('said clear in the roll call, by their own hand')).toBeVisible();
  await page.goBack();
  await hand.tap('Down tools');
  await hand.tap('It is wet here');
  await hand.at('Tools are down');
  await phone.context().close();
});
