// Photos through a real decoder, encoder and camera port.
import { expect, test as base } from '@playwright/test';
import type { Page } from '@playwright/test';
import { metadataIn } from '../../src/lib/device/photos.ts';
import { serveDevicePage } from '../support/device-page.ts';
import type { DevicePage } from '../support/device-page.ts';

const test = base.extend<object, { pages: DevicePage }>({
  pages: [
    // The library wants the pattern, though nothing is taken from it.
    // eslint-disable-next-line no-empty-pattern
    async ({}, use) => {
      const pages = await serveDevicePage();
      await use(pages);
      await pages.stop();
    },
    { scope: 'worker' },
  ],
});
test.beforeEach(async ({ page, pages }) => {
  await page.goto(pages.url);
  await page.waitForFunction(() => 'bench' in window);
});

/** A JPEG with a red left half and a blue right half, as a camera without orientation writes it. */
async function halves(page: Page, width: number, height: number): Promise<number[]> {
  return page.evaluate(
    async ([wide, high]) => {
      const canvas = new OffscreenCanvas(wide ?? 0, high ?? 0);
      const context = canvas.getContext('2d');
      if (context === null) throw new Error('no context');
      context.fillStyle = '#ff0000';
      context.fillRect(0, 0, canvas.width / 2, canvas.height);
      context.fillStyle = '#0000ff';
      context.fillRect(canvas.width / 2, 0, canvas.width / 2, canvas.height);
      const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
      return [...new Uint8Array(await blob.arrayBuffer())];
    },
    [width, height],
  );
}

/** An Exif segment (Exif 2.32, TIFF 6.0, big end first) with this orientation and a position. */
function exif(orientation: number): number[] {
  const short = (value: number) => [value >> 8, value & 255];
  const long = (value: number) => [...short(value >>> 16), ...short(value & 0xffff)];
  const tiff = [
    ...[0x4d, 0x4d, 0, 42, ...long(8)],
    ...short(2),
    ...[...short(0x0112), ...short(3), ...long(1), ...short(orientation), 0, 0],
    ...[...short(0x8825), ...short(4), ...long(1), ...long(38)],
    ...long(0),
    ...short(1),
    ...[...short(1), ...short(2), ...long(2), 0x4e, 0, 0, 0],
    ...long(0),
  ];
  const content = [...Buffer.from('Exif\0\0', 'latin1'), ...tiff];
  return [0xff, 0xe1, ...short(content.length + 2), ...content];
}

interface Kept {
  readonly bytes: number[];
  readonly width: number;
  readonly height: number;
  readonly sharpness: number;
  readonly code?: string;
  readonly says?: string;
}

/** In the page: what preparePhoto makes of a file. */
async function prepared(page: Page, bytes: readonly number[], type: string): Promise<Kept> {
  return page.evaluate(
    async (file) => {
      const blob = new Blob([Uint8Array.from(file.bytes)], { type: file.type });
      const made = await window.bench.preparePhoto(blob);
      if (!made.ok) {
        return { bytes: [], width: 0, height: 0, sharpness: 0, ...made.trouble };
      }
      const { width, height, sharpness } = made.value;
      return { bytes: [...made.value.bytes], width, height, sharpness };
    },
    { bytes, type },
  );
}

/** In the page: the colour at a place, as `red`, `blue`, `white` or its numbers. */
async function colourAt(page: Page, kept: Kept, x: number, y: number): Promise<string> {
  return page.evaluate(
    async (at) => {
      const bitmap = await createImageBitmap(new Blob([Uint8Array.from(at.bytes)]));
      const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
      const context = canvas.getContext('2d');
      if (context === null) throw new Error('no context');
      context.drawImage(bitmap, 0, 0);
      const [r = 0, g = 0, b = 0] = context.getImageData(at.x, at.y, 1, 1).data;
      if (r > 200 && g > 200 && b > 200) return 'white';
      if (r > 200 && b < 80) return 'red';
      if (b > 200 && r < 80) return 'blue';
      return `${r},${g},${b}`;
    },
    { bytes: kept.bytes, x, y },
  );
}

test('a photo is turned upright, and its position is gone', async ({ page }) => {
  const plain = await halves(page, 400, 300);
  // Orientation 6: the camera was held upright, the first row of the file is the right-hand side.
  const turned = [...plain.slice(0, 2), ...exif(6), ...plain.slice(2)];
  expect(metadataIn(Uint8Array.from(turned))).toMatch(/metadata/);
  const kept = await prepared(page, turned, 'image/jpeg');
  expect([kept.width, kept.height]).toEqual([300, 400]);
  expect(metadataIn(Uint8Array.from(kept.bytes))).toBeNull();
  expect(await colourAt(page, kept, 150, 20)).toBe('red');
  expect(await colourAt(page, kept, 150, 380)).toBe('blue');
});

test('a large photo is made smaller, and a small one is left as it is', async ({ page }) => {
  const large = await prepared(page, await halves(page, 4000, 3000), 'image/jpeg');
  expect([large.width, large.height]).toEqual([2048, 1536]);
  expect(large.bytes.length).toBeLessThan(3 * 1024 * 1024);
  const small = await prepared(page, await halves(page, 64, 48), 'image/jpeg');
  expect([small.width, small.height]).toEqual([64, 48]);
});

test('a transparent picture lies on paper', async ({ page }) => {
  const png = await page.evaluate(async () => {
    const canvas = new OffscreenCanvas(20, 20);
    canvas.getContext('2d')?.fillRect(0, 0, 2, 2);
    const blob = await canvas.convertToBlob({ type: 'image/png' });
    return [...new Uint8Array(await blob.arrayBuffer())];
  });
  const kept = await prepared(page, png, 'image/png');
  expect(await colourAt(page, kept, 15, 15)).toBe('white');
});

test('a blurred photo measures far less sharp than the same one in focus', async ({ page }) => {
  const measured = await page.evaluate(async () => {
    const draw = (filter: string) => {
      const canvas = new OffscreenCanvas(1200, 900);
      const context = canvas.getContext('2d');
      if (context === null) throw new Error('no context');
      context.filter = filter;
      context.fillStyle = '#ffffff';
      context.fillRect(0, 0, 1200, 900);
      context.fillStyle = '#202020';
      for (let at = 0; at < 60; at += 1) context.fillRect(at * 20, (at % 7) * 130, 9, 120);
      return canvas;
    };
    const sharpness = [];
    for (const filter of ['none', 'blur(12px)']) {
      const made = await window.bench.preparePhoto(draw(filter));
      sharpness.push(made.ok ? made.value.sharpness : -1);
    }
    return sharpness;
  });
  const [sharp = 0, blurred = 0] = measured;
  expect(sharp).toBeGreaterThan(60);
  expect(blurred).toBeGreaterThanOrEqual(0);
  expect(blurred).toBeLessThan(60);
});

test('a file that is no picture is a sentence with a way out', async ({ page }) => {
  for (const type of ['image/jpeg', 'image/heic', '']) {
    const kept = await prepared(page, [1, 2, 3, 4], type);
    expect(kept.code).toBe('photo-unreadable');
    expect(kept.says).toMatch(/Nothing was recorded/);
  }
});

test('without a camera, or without leave to use it, there is a sentence with a way out', async ({
  page,
}) => {
  const code = await page.evaluate(async () => {
    const opened = await window.bench.openCamera();
    return opened.ok ? 'opened' : opened.trouble.code;
  });
  expect(['camera-absent', 'camera-denied']).toContain(code);
});
