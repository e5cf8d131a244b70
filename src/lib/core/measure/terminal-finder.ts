/**
 * Finds out which terminal of an unmarked switch is which, from the fewest beeps: it says which pair to
 * probe next, at rest or pressed, and names the terminals when only one healthy form is left.
 */
import { formsOf, type Form, type State } from './terminal-forms.ts';

export interface Probe {
  /** Terminals by index, the lower first. */
  readonly pair: readonly [number, number];
  readonly state: State;
}

export interface Beep {
  readonly probe: Probe;
  /** True when the pair read closed. */
  readonly closed: boolean;
}

export interface Found {
  /** The healthy forms that agree with every beep so far. */
  readonly forms: readonly Form[];
  /** The probe that narrows most; null when one form or none is left. */
  readonly next: Probe | null;
  /** The one form left, if every beep agrees with it. */
  readonly named: Form | null;
  /** Probes not yet made: a faulty switch can look healthy until all of them agree. */
  readonly toConfirm: readonly Probe[];
  /** No healthy form gives these beeps. */
  readonly contradictory: boolean;
  readonly says: string;
}

/** All probes there are: 6 for three terminals, 12 for four. */
export function allProbes(terminals: 3 | 4): Probe[] {
  const probes: Probe[] = [];
  for (const state of ['rest', 'pressed'] as const) {
    for (let a = 0; a < terminals; a += 1) {
      for (let b = a + 1; b < terminals; b += 1) probes.push({ pair: [a, b], state });
    }
  }
  return probes;
}

/** What the beeps so far say. A later beep of the same probe replaces the earlier one. */
export function findTerminals(terminals: 3 | 4, beeps: readonly Beep[]): Found {
  const made = new Map<string, Beep>();
  for (const beep of beeps) made.set(keyOf(beep.probe), beep);
  const forms = formsOf(terminals).filter((form) =>
    [...made.values()].every((beep) => closes(form, beep.probe) === beep.closed),
  );
  const toConfirm = allProbes(terminals).filter((probe) => !made.has(keyOf(probe)));
  const named = forms.length === 1 ? (forms[0] ?? null) : null;
  const next = forms.length > 1 ? bestProbe(terminals, forms, beeps.at(-1)?.probe.state) : null;
  const contradictory = forms.length === 0;
  return {
    forms,
    next,
    named,
    toConfirm,
    contradictory,
    says: sentence(named, next, contradictory, toConfirm),
  };
}

/** Whether a healthy switch of this form beeps for a probe. */
export function closes(form: Form, probe: Probe): boolean {
  const [a, b] = probe.pair;
  return form.closed[probe.state].some(([c, d]) => (a === c && b === d) || (a === d && b === c));
}

function keyOf({ pair: [a, b], state }: Probe): string {
  return `${state} ${Math.min(a, b)}-${Math.max(a, b)}`;
}

/**
 * The probe that names the terminals with the fewest beeps on average over the forms left, exactly; on a
 * tie the one that needs no change of hand.
 */
function bestProbe(
  terminals: 3 | 4,
  forms: readonly Form[],
  lastState: State | undefined,
): Probe | null {
  const probes = allProbes(terminals);
  // Before the first beep all probes are alike but for the names of terminals and states.
  if (forms.length === formsOf(terminals).length) return probes[0] ?? null;
  const left = bitsOf(terminals, (form) => forms.includes(form));
  const beeping = probes.map((probe) => bitsOf(terminals, (form) => closes(form, probe)));
  let best: Probe | null = null;
  let bestCost = Infinity;
  for (const [index, probe] of probes.entries()) {
    const beeps = beepsBelow(left, beeping[index] ?? 0n, beeping, costs[terminals]);
    const cost = beeps + (probe.state === lastState ? 0 : 0.5);
    if (cost < bestCost) {
      best = probe;
      bestCost = cost;
    }
  }
  return best;
}

/** A set of forms as bits, in the order of `formsOf`. */
function bitsOf(terminals: 3 | 4, has: (form: Form) => boolean): bigint {
  let bits = 0n;
  for (const [index, form] of formsOf(terminals).entries()) {
    if (has(form)) bits |= 1n << BigInt(index);
  }
  return bits;
}

/** Least beeps to come, summed over the forms of a set; computed once, some four thousand sets in all. */
const costs: Readonly<Record<3 | 4, Map<bigint, number>>> = { 3: new Map(), 4: new Map() };

function leastBeeps(forms: bigint, beeping: readonly bigint[], known: Map<bigint, number>): number {
  if ((forms & (forms - 1n)) === 0n) return 0;
  const before = known.get(forms);
  if (before !== undefined) return before;
  let least = Infinity;
  for (const probe of beeping) least = Math.min(least, beepsBelow(forms, probe, beeping, known));
  known.set(forms, least);
  return least;
}

/** The same when this probe is made first; endless when it divides nothing. */
function beepsBelow(
  forms: bigint,
  probe: bigint,
  beeping: readonly bigint[],
  known: Map<bigint, number>,
): number {
  const [yes, no] = [forms & probe, forms & ~probe];
  if (yes === 0n || no === 0n) return Infinity;
  return countBits(forms) + leastBeeps(yes, beeping, known) + leastBeeps(no, beeping, known);
}

function countBits(bits: bigint): number {
  let count = 0;
  for (let rest = bits; rest !== 0n; rest &= rest - 1n) count += 1;
  return count;
}

function sentence(
  named: Form | null,
  next: Probe | null,
  contradictory: boolean,
  toConfirm: readonly Probe[],
): string {
  if (contradictory) {
    return 'No healthy switch gives these beeps: repeat the last ones, check the meter on its own leads, then take it as faulty.';
  }
  if (next !== null) {
    const [a, b] = next.pair;
    return `Probe terminals ${a + 1} and ${b + 1} ${next.state === 'rest' ? 'at rest' : 'pressed'}: does it beep?`;
  }
  if (named === null) return 'These beeps leave more than one form.';
  const roles = named.roles.map((role, index) => `${index + 1} is ${role}`).join(', ');
  const rest =
    toConfirm.length === 0
      ? 'Every pair agrees.'
      : `If the switch is healthy; ${toConfirm.length} more ${toConfirm.length === 1 ? 'beep confirms' : 'beeps confirm'} it.`;
  return `${describe(named)}: ${roles}. ${rest}`;
}

function describe(form: Form): string {
  switch (form.kind) {
    case 'changeOver':
      return form.roles.includes('spare') ? 'A change-over and a spare terminal' : 'A change-over';
    case 'ncAndNo':
      return 'One normally closed and one normally open pair';
    case 'twoNc':
      return `Two normally closed pairs (${pairsText(form, 'rest')})`;
    case 'twoNo':
      return `Two normally open pairs (${pairsText(form, 'pressed')})`;
  }
}

function pairsText(form: Form, state: State): string {
  return form.closed[state].map(([a, b]) => `${a + 1}–${b + 1}`).join(' and ');
}
