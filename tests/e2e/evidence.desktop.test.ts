// Evidence of another device, looked at by a stranger: verified with the network off, and its front page.
import { mkdir, writeFile } from 'node:fs/promises';
import { dirname } from 'node:path';
import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import { lampBag, lampPieces, packed, wholeJob } from '../support/a-bag.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { takenApart } from '../support/attacker.ts';
import { readPaper } from '../support/paper.ts';
import { test } from '../support/quiet-page.ts';

const asFile = (bytes: Uint8Array) => ({
  name: 'lamp.zip',
  mimeType: 'application/zip',
  buffer: Buffer.from(bytes),
});

test('a bag of another device verifies with the network off, and a changed one does not', async ({
  page,
  context,
}, info) => {
  await page.goto('/');
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await context.setOffline(true);
  const asked: string[] = [];
  context.on('request', (request) => {
    if (request.serviceWorker() !== null) asked.push(request.url());
  });
  await page.goto('/verify');
  const bag = await lampBag();
  const choose = page.locator('input[type=file]').first();
  await choose.setInputFiles(asFile(bag));
  const verdict = page.locator('.verdict');
  await expect(verdict).toContainText('Unchanged since it was sealed');
  await expect(page.getByText('Whose keys signed it is not proven')).toBeVisible();
  const checks = page.getByRole('region', { name: 'What was checked' }).locator('li.held');
  expect(await checks.count()).toBeGreaterThan(20);
  await expect(page.locator('li.failed')).toHaveCount(0);
  await page.screenshot({ path: info.outputPath('verified.png'), fullPage: true });
  expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);

  // An earlier bag of the job beside it.
  const early = await packed(
    recordFolderFiles({ ...(await lampPieces(wholeJob.slice(0, 3))), photos: [] }),
  );
  await page.locator('input[type=file]').nth(1).setInputFiles(asFile(early));
  await expect(page.getByText('The first bag is a continuation of the second')).toBeVisible();

  const changed = bag.slice();
  const at = Buffer.from(bag).indexOf('"shown":"119.6"');
  expect(at).toBeGreaterThan(0);
  changed[at + 12] = 0x37;
  await choose.setInputFiles(asFile(changed));
  await expect(verdict).toContainText('Do not rely on this bag');
  await expect(page.locator('li.failed').first()).toBeVisible();
  // Nothing of it was asked of the network, which would have failed.
  expect(asked).toEqual([]);
});

for (const [language, heading] of [
  ['en', 'What this record cannot show'],
  ['es', 'Lo que este registro no puede mostrar'],
] as const) {
  test(`axe finds nothing on the front page, and it prints, ${language}`, async ({
    page,
  }, info) => {
    const contents = await takenApart(await lampBag({ language }));
    for (const [path, bytes] of contents) {
      await mkdir(dirname(info.outputPath(path)), { recursive: true });
      await writeFile(info.outputPath(path), bytes);
    }
    for (const width of [1280, 360]) {
      await page.setViewportSize({ width, height: 800 });
      await page.goto(`file://${info.outputPath('data/front.html')}`);
      await expect(page.getByRole('heading', { name: heading })).toBeVisible();
      const { violations } = await new AxeBuilder({ page }).analyze();
      expect(violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
    }
    const paper = await readPaper(
      new Uint8Array(await page.pdf({ format: 'Letter', tagged: true })),
    );
    expect(paper.text).toContain(heading.replaceAll(' ', ''));
    expect(paper.pages).toBeLessThan(12);
  });
}
