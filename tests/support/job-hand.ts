// A hand on the job screen: finds everything by the names that a screen reader says, and counts what it
// does. One action is one hold, tap, photo or figure; the keys of one figure are one action.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';

export class JobHand {
  actions = 0;
  readonly page: Page;
  #seen: ((name: string) => Promise<void>) | undefined;

  constructor(page: Page, seen?: (name: string) => Promise<void>) {
    this.page = page;
    this.#seen = seen;
  }

  /** The step on the screen has this instruction. */
  async at(say: string): Promise<void> {
    await expect(this.page.getByRole('heading', { level: 1 })).toHaveText(say);
    await this.#seen?.(say);
  }

  async hold(name: string | RegExp): Promise<void> {
    this.actions++;
    await this.page.getByRole('button', { name }).hover();
    // Watched from before the press: on a busy machine a hold may be over when anybody asks for it.
    const held = await this.page.evaluateHandle(watchHold);
    await this.page.mouse.down();
    await held.evaluate(({ over }) => over);
    await this.page.mouse.up();
  }

  /** The same by keyboard: the key stays down until it counts. */
  async holdKey(name: string | RegExp): Promise<void> {
    this.actions++;
    await this.page.getByRole('button', { name }).focus();
    const held = await this.page.evaluateHandle(watchHold);
    await this.page.keyboard.down('Enter');
    await held.evaluate(({ over }) => over);
    await this.page.keyboard.up('Enter');
  }

  async tap(name: string | RegExp): Promise<void> {
    this.actions++;
    await this.page.getByRole('button', { name, exact: typeof name === 'string' }).click();
  }

  async photo(
    name: string | RegExp,
    file: { name: string; mimeType: string; buffer: Buffer },
  ): Promise<void> {
    this.actions++;
    await this.page.getByLabel(name).setInputFiles(file);
  }

  /** One figure, key by key, and the key that writes it. */
  async figure(text: string, unit?: string, write = 'Next'): Promise<void> {
    this.actions++;
    if (unit !== undefined) await this.page.getByRole('radio', { name: unit, exact: true }).click();
    for (const key of text === 'OL'
      ? ['OL: over the limit of the meter']
      : [...text].map(keyName)) {
      await this.page.getByRole('button', { name: key, exact: true }).click();
    }
    await this.page.getByRole('button', { name: write, exact: true }).click();
  }

  async figures(...texts: readonly string[]): Promise<void> {
    for (const text of texts) await this.figure(text);
  }

  async contacts(...states: readonly ('Closed' | 'Open')[]): Promise<void> {
    for (const state of states) await this.tap(new RegExp(`^${state} (up to 1 Ω|OL)$`, 'u'));
    await this.tap('Write it down');
  }
}

/** In the page: `over` resolves when a button was pressed and has been held long enough. */
function watchHold(): { over: Promise<void> } {
  const over = new Promise<void>((done) => {
    let pressed = false;
    const observer = new MutationObserver(() => {
      const down = document.querySelector('button.down') !== null;
      if (pressed && !down) {
        observer.disconnect();
        done();
      }
      pressed ||= down;
    });
    observer.observe(document.body, { subtree: true, childList: true, attributes: true });
  });
  return { over };
}

function keyName(key: string): string {
  return key === '.' ? 'Decimal point' : key === '-' ? 'Minus' : key;
}

/** A sharp picture of squares, drawn by the page itself. */
export async function pictureFrom(
  page: Page,
  text: string,
): Promise<{ name: string; mimeType: string; buffer: Buffer }> {
  const base64 = await page.evaluate(async (words) => {
    const canvas = new OffscreenCanvas(640, 480);
    const context = canvas.getContext('2d');
    if (context === null) throw new Error('no canvas');
    for (let x = 0; x < 640; x += 16)
      for (let y = 0; y < 480; y += 16) {
        context.fillStyle = (x + y) % 32 === 0 ? '#202020' : '#e8e4d8';
        context.fillRect(x, y, 16, 16);
      }
    context.fillStyle = '#0a3060';
    context.font = '64px sans-serif';
    context.fillText(words, 40, 240);
    const bytes = new Uint8Array(
      await (await canvas.convertToBlob({ type: 'image/png' })).arrayBuffer(),
    );
    return btoa(String.fromCharCode(...bytes));
  }, text);
  return { name: `${text}.png`, mimeType: 'image/png', buffer: Buffer.from(base64, 'base64') };
}
