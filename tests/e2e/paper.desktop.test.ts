// What leaves the screen: the carry sheet with the numbers of the phone, and a tag whose code opens the tag.
import { expect } from '@playwright/test';
import { codeIn } from '../support/code-in.ts';
import { plant } from '../support/planted-job.ts';
import { rangeUntil } from '../support/prepared-job.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';

test.setTimeout(120_000);

const JOB = '019ac0de-7000-7abc-8def-00000000ca44';

test('the carry sheet has the numbers of the phone, and the code of a tag opens the tag', async ({
  page,
}, info) => {
  const job = await rangeUntil('wires');
  await page.clock.install({ time: Date.parse(job.last.at) + 20_000 });
  await page.goto('/jobs');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await plant(page, job, JOB);
  await page.goto(`/jobs/${JOB}/sheet`);
  await expect(page.locator('section button .number').last()).toBeVisible();
  const numbers = await page.locator('section button .number').allTextContents();

  await page.getByRole('link', { name: 'Carry sheet' }).click();
  const rows = page.locator('.carry li.step');
  await expect(rows).toHaveCount(numbers.length);
  expect(await page.locator('.carry .number').allTextContents()).toEqual(numbers);
  // Done steps say what was read and when; the others have room for it.
  const dead = rows.filter({ hasText: step('dead').say }).first();
  await expect(dead).toContainText(/\d\d:\d\d/u);
  await expect(dead.locator('.write')).toHaveCount(0);
  const motor = rows.filter({ hasText: step('motor').say });
  await expect(motor).toContainText(/Reads.*Ω/u);
  await expect(motor).toContainText('Initials');
  await expect(motor.locator('.write')).toHaveCount(3);
  await page.pdf({ path: info.outputPath('carry.pdf'), format: 'A4' });

  await page.goto(`/jobs/${JOB}/tag`);
  const tag = page.getByRole('region', { name: /breaker/iu });
  await expect(tag).toContainText('DO NOT SWITCH ON');
  await expect(tag).toContainText('L-31');
  await page.pdf({ path: info.outputPath('tag.pdf'), format: 'A4' });
  const address = await codeIn(page.getByRole('img', { name: /^Code with|^Código/u }).first());
  expect(address).toBe(page.url());
  await page.goto(address);
  await expect(tag).toBeVisible();

  // Somebody else's device: it does not know the job, and says to leave all as it is.
  await page.goto(address.replace(JOB, JOB.replace(/.$/u, '5')));
  await expect(page.getByRole('alert')).toContainText('left so on purpose');
});
