// What of a job goes out in its bag, and what is erased for good, on the device with the network off.
import { readFile } from 'node:fs/promises';
import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { takenApart } from '../support/attacker.ts';
import { JobHand, pictureFrom } from '../support/job-hand.ts';
import { readPaper } from '../support/paper.ts';
import { test } from '../support/quiet-page.ts';
import { stillwire } from '../support/stillwire.ts';

test.setTimeout(150_000);

interface Verified {
  readonly ok: boolean;
  readonly findings: readonly { readonly code: string; readonly says: string }[];
}

/** Downloads a bag, has the command line verify it, and takes it apart. */
async function bagOf(page: Page, path: string, key: string) {
  const started = page.waitForEvent('download');
  await page.getByRole('button', { name: key, exact: true }).click();
  await (await started).saveAs(path);
  const { output } = await stillwire('verify', path, '--json');
  const report = JSON.parse(output) as Verified;
  const contents = await takenApart(new Uint8Array(await readFile(path)));
  const codes = report.findings.map(({ code }) => code);
  return { ...report, codes, contents };
}

test('a bag leaves out a place and part of a photo, and then the photo is erased', async ({
  page,
  context,
}, info) => {
  await page.goto('/');
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  const hand = new JobHand(page);
  await hand.tap('Try the demonstration job');
  await expect(page.locator('article h1')).toBeVisible();
  await context.setOffline(true);
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await hand.tap(/^Leave the job/u);
  await hand.tap(/^Refuse the job/u);
  await hand.tap('It is beyond what I am authorized for');
  await hand.hold('Refuse this job');
  await hand.tap('Add something later');
  await page.getByLabel('What is to be added').fill('the plate of the machine');
  await hand.photo('Add a photo', await pictureFrom(page, 'PLATE 4711'));
  await hand.hold('Add it to the record');

  await hand.tap('Choose what goes out, or erase');
  const sheet = page.getByRole('dialog');
  await sheet.getByRole('button', { name: /^Place: 12 Lantern Court/u }).click();
  await sheet.getByRole('button', { name: 'Make parts unreadable' }).click();
  const picture = sheet.getByRole('img', { name: 'Photo of the job' });
  await picture.scrollIntoViewIfNeeded();
  const frame = await picture.boundingBox();
  if (frame === null) throw new Error('The photo is not drawn.');
  await page.mouse.move(frame.x + 10, frame.y + frame.height * 0.3);
  await page.mouse.down();
  await page.mouse.move(frame.x + frame.width - 10, frame.y + frame.height * 0.6, { steps: 3 });
  await page.mouse.up();
  const region = sheet.getByRole('button', { name: 'Unreadable part 1' });
  await region.focus();
  await page.keyboard.press('ArrowDown');
  await expect(region).toBeVisible();
  expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
  await page.screenshot({ path: info.outputPath('privacy.png') });
  const covered = await bagOf(page, info.outputPath('covered.zip'), 'Download this bag');
  expect(covered.codes).toEqual(expect.arrayContaining(['photo-blurred', 'withheld', 'front-pdf']));
  expect(covered.ok).toBe(true);
  for (const [path, bytes] of covered.contents)
    expect(Buffer.from(bytes).includes('Lantern'), path).toBe(false);
  const paper = await readPaper(covered.contents.get('data/front.pdf') ?? new Uint8Array());
  expect(paper.text).not.toContain('Lantern');
  expect(paper.text).toContain('Halloran');

  await hand.tap('Choose what goes out, or erase');
  await hand.tap('Erase for good: Photo 1');
  await sheet.getByLabel(/^Why is it erased/u).fill('the owner asked for it');
  await hand.hold('Erase for good: Photo 1');
  await expect(sheet.getByRole('heading', { name: 'Photo 1' })).toHaveCount(0);
  await sheet.getByRole('button', { name: 'Back to the job' }).click();
  const erased = await bagOf(page, info.outputPath('erased.zip'), 'Download the evidence bag');
  expect(erased.codes).toContain('photo-erased');
  expect(erased.ok).toBe(true);
  expect([...erased.contents.keys()].filter((path) => path.endsWith('.jpg'))).toEqual([]);
  const record = Buffer.from(erased.contents.get('data/record.jsonl') ?? '').toString();
  expect(record).toContain('the owner asked for it');
  // The place was left out of one bag only.
  expect(Buffer.from(erased.contents.get('data/disclosures.jsonl') ?? '').length).toBeGreaterThan(
    0,
  );
});
