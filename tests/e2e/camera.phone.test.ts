// The camera on the job's own screen: Chromium's test camera, filming a file, stands for the one of a phone.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { plant } from '../support/planted-job.ts';
import { rangeUntil } from '../support/prepared-job.ts';
import { test } from '../support/quiet-page.ts';
import { CONNECTORS, measure, pullAll, reseat } from '../support/range-job.ts';

/** Two frames of sharp squares without colour, as YUV4MPEG2 (man page yuv4mpeg(5) of mjpegtools, from memory). */
function film(width: number, height: number): Buffer {
  const bright = Buffer.alloc(width * height);
  for (let at = 0; at < bright.length; at += 1) {
    const [x, y] = [at % width, Math.floor(at / width)];
    bright[at] = ((x >> 4) + (y >> 4)) % 2 === 0 ? 40 : 210;
  }
  const frame = [Buffer.from('FRAME\n'), bright, Buffer.alloc((width * height) / 2, 128)];
  const head = Buffer.from(`YUV4MPEG2 W${width} H${height} F10:1 Ip A1:1 C420jpeg\n`);
  return Buffer.concat([head, ...frame, ...frame]);
}

test.use({
  launchOptions: async ({ launchOptions }, use) => {
    const folder = mkdtempSync(join(tmpdir(), 'stillwire-film-'));
    writeFileSync(join(folder, 'film.y4m'), film(640, 480));
    const args = [
      '--use-fake-device-for-media-stream',
      '--use-fake-ui-for-media-stream',
      `--use-file-for-fake-video-capture=${join(folder, 'film.y4m')}`,
    ];
    await use({ ...launchOptions, args: [...(launchOptions.args ?? []), ...args] });
    rmSync(folder, { recursive: true });
  },
});
test.setTimeout(120_000);

const JOB = '019ac0de-7000-7abc-8def-00000000ca3e';

test('a photo is taken without leaving the job, and the one from before lies over the camera at refit', async ({
  page,
}, info) => {
  const job = await rangeUntil('wires');
  await page.clock.install({ time: Date.parse(job.last.at) + 20_000 });
  await page.goto('/jobs');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await plant(page, job, JOB);
  await page.goto(`/jobs/${JOB}`);
  const hand = new JobHand(page);
  hand.quick = true;

  const camera = page.getByRole('dialog', { name: 'Camera' });
  await hand.tap('Photograph the wiring');
  await expect(camera.getByLabel('What the camera sees')).toBeVisible();
  await expect(camera.getByRole('button', { name: 'Take it', exact: true })).toBeFocused();
  await page.screenshot({ path: info.outputPath('camera.png') });
  // The camera fills the screen; the keys that stop the job are on it.
  await camera.getByRole('button', { name: 'Someone is hurt', exact: true }).click();
  const hurt = page.getByRole('dialog', { name: 'Someone is hurt' });
  await expect(hurt.getByRole('link', { name: '112' })).toBeInViewport();
  await hurt.getByRole('button', { name: 'Back to the job' }).click();
  await expect(camera.getByLabel('What the camera sees')).toBeVisible();
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id }) => id)).toEqual([]);
  await page.keyboard.press('Escape');
  await expect(camera).toBeHidden();
  await hand.tap('Photograph the wiring');
  await hand.tap('Take it');
  await expect(camera).toBeHidden();
  await expect(page.getByRole('img', { name: /The wiring/u })).toBeVisible();
  await pullAll(hand);
  await measure(hand, '0.3');
  await reseat(hand, CONNECTORS.length, 2);

  await hand.tap('Photograph it after');
  const pins = camera.locator('.ghost span');
  await expect(pins).toHaveText(['1', '2', '3', '4', '5', '6']);
  const video = await camera.locator('video').boundingBox();
  expect(await camera.locator('.ghost').boundingBox()).toEqual(video);
  const before = camera.locator('.ghost img');
  await camera.getByLabel('Before').fill('0.9');
  await expect(before).toHaveCSS('opacity', '0.9');
  await page.screenshot({ path: info.outputPath('ghost.png') });
  // A lens under a thumb: no edges, so that the photo is asked about while one can still take it again.
  await page.evaluate(() => {
    const kept = globalThis.createImageBitmap;
    globalThis.createImageBitmap = () => kept(new ImageData(64, 48));
    Object.assign(globalThis, { uncover: () => (globalThis.createImageBitmap = kept) });
  });
  await hand.tap('Take it');
  await expect(camera.getByRole('status')).toHaveText(/looks blurred/u);
  await page.evaluate(() => (globalThis as unknown as { uncover: () => void }).uncover());
  await hand.tap('Take it again');
  await hand.tap('Take it');
  await expect(camera).toBeHidden();
  await expect(page.getByRole('img', { name: 'Photograph it after' })).toBeVisible();
  await reseat(hand, 1, 1);
});
