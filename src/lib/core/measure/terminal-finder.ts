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
  const next = forms.length > 1 ? bestProbe(forms, toConfirm, beeps.at(-1)?.probe.state) : null;
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

/** The probe whose worse answer leaves the fewest forms; on a tie the one that needs no change of hand. */
function bestProbe(
  forms: readonly Form[],
  probes: readonly Probe[],
  lastState: State | undefined,
): Probe | null {
  let best: Probe | null = null;
  let bestLeft = Infinity;
  for (const probe of probes) {
    const yes = forms.filter((form) => closes(form, probe)).length;
    const left = Math.max(yes, forms.length - yes) + (probe.state === lastState ? 0 : 0.5);
    if (yes > 0 && yes < forms.length && left < bestLeft) {
      best = probe;
      bestLeft = left;
    }
  }
  return best;
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
