/** How much one sender may ask in a minute, counted in this process. */
import { refused } from '../refusal.ts';
import type { Refused } from '../refusal.ts';

const MINUTE_MS = 60_000;
const MOST_SENDERS = 10_000;

export interface Allowance {
  readonly requests: number;
  readonly bytes: number;
}

interface Count {
  begun: number;
  requests: number;
  bytes: number;
}

export interface TooMuch extends Refused {
  /** Whole seconds. */
  readonly retryAfter: number;
}

export class Rate {
  readonly #allowed: Allowance;
  readonly #counts = new Map<string, Count>();

  constructor(allowed: Allowance) {
    this.#allowed = allowed;
  }

  /** Counts one request of a sender; what it is refused with when that is too many. */
  count(sender: string, now: number, bytes = 0): TooMuch | null {
    const held = this.#counts.get(sender);
    const fresh = held !== undefined && now - held.begun < MINUTE_MS && now >= held.begun;
    const count = fresh ? held : { begun: now, requests: 0, bytes: 0 };
    count.requests += 1;
    count.bytes += bytes;
    if (!fresh) {
      this.#counts.delete(sender);
      this.#counts.set(sender, count);
      this.#forgetOldest();
    }
    if (count.requests <= this.#allowed.requests && count.bytes <= this.#allowed.bytes) return null;
    const retryAfter = Math.ceil((count.begun + MINUTE_MS - now) / 1000);
    const says = `Too much at once. Nothing is lost; try again in ${retryAfter} seconds.`;
    return { ...refused(429, 'too-many', says), retryAfter };
  }

  #forgetOldest(): void {
    const oldest = this.#counts.keys().next();
    if (this.#counts.size > MOST_SENDERS && oldest.done !== true) this.#counts.delete(oldest.value);
  }
}
