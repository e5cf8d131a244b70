// Other hands on the job screen: one that has a keyboard only, one that hears the page and never sees
// it, and one in gloves.
import { expect } from '@playwright/test';
import type { Locator, Page } from '@playwright/test';
import { JobHand } from './job-hand.ts';

type Photo = Parameters<JobHand['photo']>[1];

/** Reaches everything with the Tab key and acts with Enter; no pointer is ever moved. */
export class KeyHand extends JobHand {
  #file: Photo | undefined;

  constructor(page: Page) {
    super(page);
    // Listened for from the start: a listener that begins with the key press may begin too late.
    page.on('filechooser', (chooser) => void chooser.setFiles(this.#file ?? []));
  }

  override async hold(name: string | RegExp): Promise<void> {
    await this.#reach(this.page.getByRole('button', { name }));
    await this.holdKey(name);
  }

  override async press(target: Locator): Promise<void> {
    await this.#reach(target);
    await this.page.keyboard.press('Enter');
  }

  override async figure(text: string, unit?: string): Promise<void> {
    this.actions++;
    if (unit !== undefined)
      await this.press(this.page.getByRole('radio', { name: unit, exact: true }));
    await this.#reach(this.page.locator('input[inputmode="none"]'));
    await this.page.keyboard.type(text === 'OL' ? 'o' : text);
    await this.page.keyboard.press('Enter');
  }

  override async photo(name: string | RegExp, file: Photo): Promise<void> {
    this.actions++;
    await this.#reach(this.page.getByLabel(name));
    this.#file = file;
    await this.page.keyboard.press('Enter');
  }

  override async pin(index: number): Promise<void> {
    await this.tap('Put a pin in the middle and move it');
    await this.#reach(this.page.getByRole('button', { name: /^New pin here/u }));
    for (let times = 0; times <= index; times++) await this.page.keyboard.press('ArrowRight');
  }

  override async fill(label: string, text: string): Promise<void> {
    this.actions++;
    await this.#reach(this.page.getByLabel(label));
    await this.page.keyboard.press('ControlOrMeta+A');
    await this.page.keyboard.type(text);
  }

  async #reach(target: Locator): Promise<void> {
    await expect(target).toBeAttached();
    for (let times = 0; times < 200; times++) {
      if (await target.evaluate((element) => element === document.activeElement)) {
        // Whoever has no pointer has to see where the focus is.
        expect(await target.evaluate((element) => element.matches(':focus-visible'))).toBe(true);
        return;
      }
      await this.page.keyboard.press('Tab');
    }
    throw new Error(`The Tab key does not reach ${String(target)}.`);
  }
}

/**
 * Finds everything by the name and the kind that a screen reader says, and acts as one does: an activation
 * without a finger, twice where others hold.
 */
export class HearingHand extends JobHand {
  #steps = 0;

  override async at(say: string): Promise<void> {
    await super.at(say);
    // What is read first after a step is the next instruction, because the focus goes there.
    if (this.#steps++ > 0) await expect(this.page.getByRole('heading', { level: 1 })).toBeFocused();
  }

  override async hold(name: string | RegExp): Promise<void> {
    this.actions++;
    const target = this.page.getByRole('button', { name });
    await this.press(target);
    await expect(target).toHaveAccessibleDescription(/once more to confirm/u);
    await this.press(target);
  }

  override async press(target: Locator): Promise<void> {
    await expect(target).toBeVisible();
    await target.evaluate((element) => (element as HTMLElement).click());
  }

  override async pin(): Promise<void> {
    await this.tap('Put a pin in the middle and move it');
  }
}

/** 20 mm where a phone has 160 pixels to the inch. */
const GLOVED_FINGER = 126;

/** Presses nothing that is smaller than a gloved finger. */
export class GlovedHand extends JobHand {
  override async hold(name: string | RegExp): Promise<void> {
    await this.#isLarge(this.page.getByRole('button', { name }));
    await super.hold(name);
  }

  override async press(target: Locator): Promise<void> {
    await this.#isLarge(target);
    await super.press(target);
  }

  override async photo(name: string | RegExp, file: Photo): Promise<void> {
    await this.#isLarge(this.page.locator('label').filter({ has: this.page.getByLabel(name) }));
    await super.photo(name, file);
  }

  override async fill(label: string, text: string): Promise<void> {
    const { height = 0 } = (await this.page.getByLabel(label).boundingBox()) ?? {};
    expect(height, `height of ${label}`).toBeGreaterThanOrEqual(GLOVED_FINGER);
    await super.fill(label, text);
  }

  async #isLarge(target: Locator): Promise<void> {
    await expect(target).toBeVisible();
    const { width = 0, height = 0 } = (await target.boundingBox()) ?? {};
    const name = (await target.textContent())?.trim();
    expect(Math.min(width, height), `${name ?? ''}: ${width} by ${height}`).toBeGreaterThanOrEqual(
      GLOVED_FINGER,
    );
  }
}
