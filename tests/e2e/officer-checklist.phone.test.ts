import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { readFileSync } from 'node:fs';
import { JobHand } from '../support/job-hand.ts';
import { test } from '../support/quiet-page.ts';

test.setTimeout(120_000);

const OWN = 'our-grinder';
const file = new URL('../../checklists/bench-grinder.yaml', import.meta.url);

const view = (page: Page, name: string) => page.getByRole('button', { name, exact: true }).click();
const region = (page: Page, name: string) => page.getByRole('region', { name });

async function copied(page: Page): Promise<void> {
  await page.goto('/checklists');
  await page.getByRole('link', { name: /Bench grinder: it hums/u }).click();
  await expect(page.getByRole('textbox', { name: 'Title' })).not.toBeEditable();
  await page.getByLabel(/Name of the copy/u).fill('Bad Name');
  await view(page, 'Make a copy of your own');
  await expect(page.getByRole('alert')).toContainText('small letters');
  await page.getByLabel(/Name of the copy/u).fill(OWN);
  await view(page, 'Make a copy of your own');
  await expect(page).toHaveURL(new RegExp(`/checklists/${OWN}$`, 'u'));
  await expect(page.getByRole('textbox', { name: 'Title' })).toBeEditable();
}

test('a list is copied, broken, understood, mended, signed, and run on a job', async ({ page }) => {
  await copied(page);
  await expect(page.getByText('To be reviewed by a qualified person').first()).toBeVisible();

  // Whole, and walked while the page is open.
  await view(page, 'Proof and problems');
  await expect(region(page, 'Proof while you type')).toContainText(
    'Every plain way comes to the hand-back',
    { timeout: 30_000 },
  );

  // Broken in the form: the capacitor is no longer drained.
  await view(page, 'Form');
  const steps = page.getByRole('combobox', { name: 'Step', exact: true });
  const drain = await steps.locator('option', { hasText: 'drain' }).getAttribute('value');
  await steps.selectOption(drain ?? '');
  await view(page, 'Take it out');
  await view(page, 'Proof and problems');
  await expect(page.getByText('No step releases start-charge, though it says how.')).toBeVisible();
  const proof = region(page, 'Proof while you type');
  await expect(proof).toContainText('Here is a way that goes wrong.', { timeout: 30_000 });
  await expect(proof).toContainText(
    'Then nothing more opens, and the machine is never handed back',
  );
  await proof.getByText(/The shortest way there, in \d+ acts/u).click();
  await expect(proof.getByText('Ana opens the job.')).toBeVisible();
  await expect(proof.getByText(/Ana does base-off: Take off the base plate/u)).toBeVisible();

  // Walked: the wire stands as it would, and what is due says what it waits for.
  await proof.getByRole('button', { name: 'Walk it' }).click();
  const drill = region(page, 'Drill');
  await expect(drill).toContainText('Due now:');
  await expect(drill).toContainText('Start capacitor');
  await drill.getByRole('button', { name: 'One back' }).click();
  await drill.getByRole('button', { name: 'Next act' }).click();
  await drill.getByRole('button', { name: 'End the drill' }).click();

  // A tap on the problem leads to its line; there it is mended, and a limit made closer.
  await page.getByRole('button', { name: /No step releases start-charge/u }).click();
  const text = page.getByRole('textbox', { name: 'The file, in YAML' });
  await expect(text).toBeFocused();
  const whole = readFileSync(file, 'utf8')
    .replace('id: bench-grinder', `id: ${OWN}`)
    .replace('most: 0.125 in', 'most: 0.1 in');
  await text.fill(whole);
  await view(page, 'Proof and problems');
  await expect(page.getByRole('heading', { name: 'No problems' })).toBeVisible();
  await expect(region(page, 'What changed')).toContainText(
    'step rest-gap, accept: “most: 0.125 in” became “most: 0.1 in”',
  );
  await expect(proof).toContainText('Every plain way comes to the hand-back', { timeout: 30_000 });

  // An accident is replayed against it, and is refused.
  await view(page, 'The accident kept with this list');
  await expect(drill).toContainText('Act 1 of 7');
  await drill.getByRole('button', { name: 'End the drill' }).click();
  await page.getByLabel('Commands from a file').setInputFiles({
    name: 'accident.jsonl',
    mimeType: 'application/jsonl',
    buffer: readFileSync(
      new URL('../../checklists/accidents/bench-grinder.jsonl', import.meta.url),
    ),
  });
  await drill.getByRole('button', { name: 'To the end' }).click();
  await expect(drill).toContainText('Refused:');
  await drill.getByRole('button', { name: 'End the drill' }).click();

  // Signed, for this very text.
  const sign = region(page, 'Signed for use');
  await sign.getByLabel('For which place').fill('Quarry Road workshop');
  await sign.getByLabel('Name').fill('Tove Abernathy');
  const hand = new JobHand(page);
  await hand.hold('Hold to sign this revision');
  await expect(sign).toContainText('Tove Abernathy signed this revision for Quarry Road workshop');
  await expect(page.getByText('To be reviewed by a qualified person')).toHaveCount(0);

  // Run on the phone; the record tells who signed it.
  await page.getByRole('link', { name: 'Use it on a job' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Bench grinder');
  await expect(page.getByText('To be reviewed by a qualified person')).toHaveCount(0);
  await page.getByLabel(/^Where: name/u).fill('Room 4');
  await page.getByLabel('Number or name on the meter').fill('M-7');
  await page.getByLabel('Calibration due').fill('2099-01-01');
  await hand.hold(/^I am authorized/u);
  await hand.at('Tell everybody in the shop that the grinder stays off until you say so yourself.');

  // A newer revision is signed while the job runs: the job goes over to it by an entry that says why.
  const job = page.url();
  await page.goto(`/checklists/${OWN}`);
  await view(page, 'File');
  await text.fill(whole.replace(/^revision: .*$/mu, 'revision: 7').replace('0.1 in', '0.09 in'));
  await view(page, 'Proof and problems');
  await expect(page.getByRole('heading', { name: 'No problems' })).toBeVisible();
  await sign.getByLabel('For which place').fill('Quarry Road workshop');
  await sign.getByLabel('Who signs').selectOption('Tove Abernathy');
  await hand.hold('Hold to sign this revision');
  await expect(sign).toContainText('signed this revision for Quarry Road workshop');
  await page.goto(job);
  await page.getByText('Revision 7 of this list is signed for use').click();
  await expect(region(page, 'What changed')).toContainText('“most: 0.1 in” became “most: 0.09 in”');
  await expect(region(page, 'What changed').getByRole('listitem')).toHaveCount(2);
  await hand.hold('Hold to go over to revision 7');
  await expect(page.getByRole('alert').filter({ hasText: 'Say why' })).toBeVisible();
  await page.getByLabel('Why this job goes over').fill('The rest was set too wide.');
  await hand.hold('Hold to go over to revision 7');
  await expect(page.getByText('Revision 7 of this list is signed for use')).toHaveCount(0);
  await page.goto(`${job}/sheet`);
  await expect(
    page.getByText(/Went over to revision 7; every proof before it ended/u),
  ).toBeVisible();
});

test('a list is brought in from a file, saved again letter by letter, and thrown away', async ({
  page,
}) => {
  const text = readFileSync(file, 'utf8').replace('id: bench-grinder', 'id: brought-in');
  const bring = (name: string, buffer: string) =>
    page
      .getByLabel('Bring one in from a file')
      .setInputFiles({ name, mimeType: 'application/yaml', buffer: Buffer.from(buffer) });
  await page.goto('/checklists');
  await bring('broken.yaml', 'format: 1\nid: [');
  await expect(page.getByRole('alert')).toContainText('Nothing was kept of it.');
  await bring('bench-grinder.yaml', readFileSync(file, 'utf8'));
  await expect(page.getByRole('alert')).toContainText('already a list of your own');
  await bring('brought-in.yaml', text);
  await expect(page).toHaveURL(/\/checklists\/brought-in$/u);

  const started = page.waitForEvent('download');
  await view(page, 'Save as a file');
  const saved = await started;
  expect(saved.suggestedFilename()).toBe('brought-in.yaml');
  expect(readFileSync(await saved.path(), 'utf8')).toBe(text);

  // The house may ask for more, never for less.
  const house = region(page, 'Settings of the house');
  await house.getByLabel('Name of the firm').fill('Alder Row');
  await house.getByLabel('Who sets it').fill('Mara Quill');
  await house.getByLabel('Step').selectOption('rest-gap');
  await house.getByLabel('At most', { exact: true }).fill('0.5 in');
  await house.getByRole('button', { name: 'Write it into this list' }).click();
  await expect(house.getByRole('status')).toContainText('a house value may only be stricter');
  await house.getByLabel('At most', { exact: true }).fill('0.1 in');
  await house.getByRole('button', { name: 'Write it into this list' }).click();
  await expect(house.getByRole('status')).toContainText('rest-gap: at most 0.1 in');
  await view(page, 'File');
  await expect(page.getByRole('textbox', { name: 'The file, in YAML' })).toHaveValue(
    /House limit of Alder Row/u,
  );

  await page.goto('/checklists');
  await page.getByRole('link', { name: /brought-in · Revision 1/u }).click();
  await view(page, 'Throw this list away');
  await view(page, 'Throw it away for good');
  await expect(page).toHaveURL(/\/checklists$/u);
  await expect(page.getByRole('link', { name: /brought-in/u })).toHaveCount(0);
});
