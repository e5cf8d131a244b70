// A hand on the job screen: finds everything by the names that a screen reader says, and counts what it
// does. One action is one hold, tap, photo or figure; the keys of one figure are one action.
import { expect } from '@playwright/test';
import type { JSHandle, Locator, Page } from '@playwright/test';

export class JobHand {
  actions = 0;
  /** Holds by the clock of the page, which the test has installed. */
  quick = false;
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
    await this.heldLongEnough(held);
    await this.page.mouse.up();
  }

  /** Until the hold counts. Where the test drives the clock of the page, the wait is jumped over. */
  protected async heldLongEnough(held: JSHandle<{ over: Promise<void> }>): Promise<void> {
    if (this.quick) await this.page.clock.fastForward(750);
    await held.evaluate(({ over }) => over);
  }

  /** The same by keyboard: the key stays down until it counts. */
  async holdKey(name: string | RegExp): Promise<void> {
    this.actions++;
    await this.page.getByRole('button', { name }).focus();
    const held = await this.page.evaluateHandle(watchHold);
    await this.page.keyboard.down('Enter');
    await this.heldLongEnough(held);
    await this.page.keyboard.up('Enter');
  }

  async tap(name: string | RegExp): Promise<void> {
    this.actions++;
    await this.press(this.page.getByRole('button', { name, exact: typeof name === 'string' }));
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
    if (unit !== undefined)
      await this.press(this.page.getByRole('radio', { name: unit, exact: true }));
    for (const key of text === 'OL' ? [text] : [...text]) await this.key(key);
    await this.press(this.page.getByRole('button', { name: write, exact: true }));
  }

  /** One key of the figure; with gloves on it lies behind the key of its group. */
  async key(key: string): Promise<void> {
    const group = this.page.getByRole('button', { name: groupOf(key), exact: true });
    const alone = this.page.getByRole('button', { name: keyName(key), exact: true });
    await expect(group.or(alone)).toBeVisible();
    if (await group.isVisible()) await this.press(group);
    await this.press(alone);
  }

  /** A pin for one connector, dropped on the photo of the wiring. */
  async pin(index: number): Promise<void> {
    this.actions++;
    const photo = this.page.getByRole('img', { name: /The wiring/u });
    await photo.click({ position: { x: 40 + index * 45, y: 60 + (index % 3) * 50 } });
  }

  /** What is written into a field that the system's own keyboard fills. */
  async fill(label: string, text: string): Promise<void> {
    this.actions++;
    await this.page.getByLabel(label).fill(text);
  }

  async press(target: Locator): Promise<void> {
    await target.click();
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

const NAMES: Readonly<Record<string, string>> = {
  '.': 'Decimal point',
  '-': 'Minus',
  OL: 'OL: over the limit of the meter',
  moving: 'The reading does not settle',
};
const GROUPS = ['1 2 3', '4 5 6', '7 8 9', '0 . -', 'OL moving'].map((keys) => keys.split(' '));

function keyName(key: string): string {
  return NAMES[key] ?? key;
}

function groupOf(key: string): string {
  const group = GROUPS.find((keys) => keys.includes(key)) ?? [];
  return `One of ${group.map(keyName).join(', ')}`;
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
