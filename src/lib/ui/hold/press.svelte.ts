/**
 * Press and hold: a statement that a pocket, a sleeve or a cable must not be able to make. A finger or
 * a key has to stay down for 0.7 s. Who cannot hold (a switch, a screen reader) activates twice.
 */
export const HOLD_MS = 700;
const ARMED_MS = 6000;

export class Press {
  /** While a finger or key is down. */
  down = $state(false);
  /** After a plain activation: the next one counts. */
  armed = $state(false);
  #timer: ReturnType<typeof setTimeout> | undefined;
  #held: () => void;

  constructor(held: () => void) {
    this.#held = held;
  }

  start(): void {
    if (this.down) return;
    this.down = true;
    this.#after(HOLD_MS, () => this.#finish());
  }

  stop(): void {
    if (!this.down) return;
    this.down = false;
    clearTimeout(this.#timer);
  }

  /** An activation that is neither a finger nor a key: from assistive technology. */
  activate(): void {
    if (this.armed) return this.#finish();
    this.armed = true;
    this.#after(ARMED_MS, () => (this.armed = false));
  }

  #after(ms: number, act: () => void): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(act, ms);
  }

  #finish(): void {
    clearTimeout(this.#timer);
    this.down = false;
    this.armed = false;
    globalThis.navigator?.vibrate?.(40);
    this.#held();
  }
}
