/** The come-back clock on the device: how late somebody is, and what that asks for. */

export interface ComeBack {
  /** When everything should be over, ms since 1970. */
  readonly expected: number;
  /** Minutes between two signs of life; 0 for none in between. */
  readonly every: number;
  /** The last sign of life, ms since 1970. */
  readonly seen: number;
}

/**
 * Who else goes by the clock. `nobody`: there is no office to ask, or it is not asked yet. `office`: it looks
 * for somebody after `due`, ms since 1970. `unanswered`: it has not answered; with `due`, it goes by that
 * older time. `refused`: it will not, and says why.
 */
export type Watch =
  | { readonly by: 'nobody'; readonly office: boolean }
  | { readonly by: 'office'; readonly due: number }
  | { readonly by: 'unanswered'; readonly due?: number }
  | { readonly by: 'refused'; readonly says: string };

/**
 * `running`: nothing to do. `soon`: within five minutes. `due`: say that you are all right. `call`: whoever
 * hears it calls. `send`: somebody goes there. The steps are a house default, common practice.
 */
export type ComeBackStep = 'running' | 'soon' | 'due' | 'call' | 'send';

const MINUTE = 60_000;
const SOON = 5 * MINUTE;
const CALL = 10 * MINUTE;
const SEND = 20 * MINUTE;

/** When the next sign of life is due: the earlier of the interval and the end. */
export function dueAt({ expected, every, seen }: ComeBack): number {
  return every === 0 ? expected : Math.min(expected, seen + every * MINUTE);
}

export function comeBackStep(clock: ComeBack, now: number): ComeBackStep {
  const late = now - dueAt(clock);
  if (late >= SEND) return 'send';
  if (late >= CALL) return 'call';
  if (late >= 0) return 'due';
  return late >= -SOON ? 'soon' : 'running';
}

/** A sign of life: the interval begins anew; past the end it gives as much again, half an hour at most. */
export function seenNow(clock: ComeBack, now: number): ComeBack {
  const past = now >= clock.expected;
  const more = Math.min(30, clock.every === 0 ? 30 : clock.every) * MINUTE;
  return { ...clock, seen: now, expected: past ? now + more : clock.expected };
}

/** Reads what was kept between visits; anything else is no clock. */
export function readComeBack(value: unknown): ComeBack | undefined {
  if (typeof value !== 'object' || value === null) return undefined;
  const { expected, every, seen } = value as Partial<Record<keyof ComeBack, unknown>>;
  const whole = [expected, every, seen].every((each) => Number.isFinite(each));
  return whole ? (value as ComeBack) : undefined;
}
