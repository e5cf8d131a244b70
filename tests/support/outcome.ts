interface Failed {
  readonly ok: false;
  readonly problem: { readonly code: string; readonly says: string };
}

/** The value of an outcome that must be good; otherwise the test fails with its sentence. */
export function valueOf<T>(outcome: { readonly ok: true; readonly value: T } | Failed): T {
  if (outcome.ok) return outcome.value;
  throw new Error(`${outcome.problem.code}: ${outcome.problem.says}`);
}

/** The problem of an outcome that must not be good. */
export function problemOf(outcome: { readonly ok: true } | Failed): Failed['problem'] {
  if (!outcome.ok) return outcome.problem;
  throw new Error('This was expected to be refused, and was not.');
}
