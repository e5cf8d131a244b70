/** What a person can be told when an input cannot be used: a stable code and one plain sentence. */
export interface Problem {
  readonly code: string;
  readonly says: string;
}

export type Outcome<T> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly problem: Problem };

export function good<T>(value: T): Outcome<T> {
  return { ok: true, value };
}

export function bad(code: string, says: string): { ok: false; problem: Problem } {
  return { ok: false, problem: { code, says } };
}

/** What was given, for a sentence; a thing that is no text is not asked for its own words. */
export function asWritten(given: unknown): string {
  if (typeof given === 'string') return given;
  return typeof given === 'number' || typeof given === 'boolean' ? String(given) : '(no text)';
}

/**
 * The first named number that is not finite or not inside its bounds, as a problem.
 * `above` is an open bound, `least` and `most` are closed ones.
 */
export function outOfRange(
  name: string,
  value: number,
  unit: string,
  bounds: { above?: number; least?: number; most?: number } = {},
): Problem | null {
  const said = `${name} is ${asWritten(value)}${unit === '' ? '' : ` ${unit}`}`;
  if (!Number.isFinite(value)) {
    return { code: 'not-a-number', says: `${said}; it must be an ordinary number.` };
  }
  if (bounds.above !== undefined && !(value > bounds.above)) {
    return { code: 'out-of-range', says: `${said}; it must be more than ${bounds.above}.` };
  }
  if (bounds.least !== undefined && value < bounds.least) {
    return { code: 'out-of-range', says: `${said}; it must be at least ${bounds.least}.` };
  }
  if (bounds.most !== undefined && value > bounds.most) {
    return { code: 'out-of-range', says: `${said}; it must be at most ${bounds.most}.` };
  }
  return null;
}
