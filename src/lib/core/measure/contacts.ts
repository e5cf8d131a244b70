/**
 * Switch contacts: what a pattern of closed (C), open (O) and high-resistance (H) readings at rest and
 * pressed says about the switch. Limits for the letters: see `contactLetter`.
 */
import {
  changeOver,
  eitherKind,
  normallyClosed,
  normallyOpen,
  twoPairs,
  type ContactMeaning,
} from './contact-patterns.ts';
import { asWritten } from './outcome.ts';

export type Terminals = 2 | 3 | 4;
/** What a two-terminal part is supposed to be. */
export type ContactKind = 'NO' | 'NC';
export type Letter = 'C' | 'O' | 'H';

export interface ContactsInput {
  readonly terminals: number;
  /** One letter a pair; two terminals `O`, three COM–NC then COM–NO, four pair A (NC) then pair B (NO). */
  readonly rest: string;
  readonly pressed: string;
  /** Only for two terminals. */
  readonly kind?: ContactKind | undefined;
  /** Three terminals: NO–NC at rest and pressed, the cross-check. */
  readonly between?: { readonly rest: string; readonly pressed: string } | undefined;
  /** Four terminals: the four pairs of one A with one B terminal, at rest and pressed. */
  readonly cross?: { readonly rest: string; readonly pressed: string } | undefined;
}

export interface ContactsVerdict extends ContactMeaning {
  /** `CO/OC`; empty when the input cannot be used (code `unusable`). */
  readonly pattern: string;
}

/** Names of the pairs in the order of the letters. */
export const pairNames: Readonly<Record<Terminals, readonly string[]>> = {
  2: ['the contact'],
  3: ['COM–NC', 'COM–NO'],
  4: ['pair A', 'pair B'],
};

/** Closed up to 1 ohm net, open from 1 Mohm or OL; between them, high resistance (common practice, no source). */
export const closedOhms = 1;
export const openFromOhms = 1e6;

/** The letter for a net resistance in ohm; `null` is OL. NaN or a negative value has no letter. */
export function contactLetter(ohms: number | null, closedLimit = closedOhms): Letter | null {
  if (ohms === null || ohms > openFromOhms) return 'O';
  if (!(ohms >= 0)) return null;
  return ohms <= closedLimit ? 'C' : 'H';
}

/** Names the fault behind a pattern. Never throws; what cannot be used comes back with code `unusable`. */
export function judgeContacts(input: ContactsInput): ContactsVerdict {
  const { terminals } = input;
  if (terminals !== 2 && terminals !== 3 && terminals !== 4) {
    return unusable(`A switch here has 2, 3 or 4 terminals, not ${asWritten(terminals)}.`);
  }
  const rest = letters(input.rest);
  const pressed = letters(input.pressed);
  const wanted = pairNames[terminals].length;
  if (rest?.length !== wanted || pressed?.length !== wanted) {
    return unusable(
      `With ${terminals} terminals, rest and pressed each take ${wanted === 1 ? 'one letter' : 'two letters'} ` +
        `(${pairNames[terminals].join(', then ')}): C closed, O open, H high resistance. ` +
        `Given: “${asWritten(input.rest)}” and “${asWritten(input.pressed)}”.`,
    );
  }
  const pattern = `${rest}/${pressed}`;
  if (pattern.includes('H')) return { ...highResistance(terminals, rest, pressed), pattern };
  const crossed = crossFault(input, terminals, rest, pressed);
  if (crossed !== null) return { ...crossed, pattern };
  const meaning = tableFor(terminals, input.kind)[pattern];
  return meaning === undefined ? unusable('This pattern is not known.') : { ...meaning, pattern };
}

/** Every pattern of C and O for a number of terminals, in table order. */
export function contactTable(
  terminals: Terminals,
  kind?: ContactKind,
): Readonly<Record<string, ContactMeaning>> {
  return tableFor(terminals, kind);
}

function tableFor(
  terminals: Terminals,
  kind: ContactKind | undefined,
): Readonly<Record<string, ContactMeaning>> {
  if (terminals === 3) return changeOver;
  if (terminals === 4) return twoPairs;
  if (kind === 'NO') return normallyOpen;
  return kind === 'NC' ? normallyClosed : eitherKind;
}

function letters(text: string): string | null {
  const written = asWritten(text)
    .trim()
    .toUpperCase()
    .replace(/[\s,–-]/gu, '');
  return /^[COH]+$/u.test(written) ? written : null;
}

function highResistance(terminals: Terminals, rest: string, pressed: string): ContactMeaning {
  const marked: string[] = [];
  pairNames[terminals].forEach((pair, index) => {
    const states: string[] = [];
    if (rest[index] === 'H') states.push('at rest');
    if (pressed[index] === 'H') states.push('pressed');
    if (states.length > 0) marked.push(`${pair} ${states.join(' and ')}`);
  });
  return {
    code: 'high-resistance',
    name: 'high resistance',
    says: `Neither closed nor open: ${marked.join(', ')}. Burnt or dirty contacts read like this; cleaning is not a repair.`,
    next: 'Read again with fresh probe contact after five operations; if it stays, replace it.',
    healthy: false,
  };
}

/** Current that goes round the blade: closed where the other readings say it cannot be. */
function crossFault(
  input: ContactsInput,
  terminals: Terminals,
  rest: string,
  pressed: string,
): ContactMeaning | null {
  const check = terminals === 3 ? input.between : terminals === 4 ? input.cross : undefined;
  if (check === undefined) return null;
  const states = [
    ['at rest', rest, letters(check.rest)],
    ['pressed', pressed, letters(check.pressed)],
  ] as const;
  const wanted = terminals === 3 ? 1 : 4;
  for (const [state, main, cross] of states) {
    if (cross?.length !== wanted) {
      return unusable(
        `The cross-check takes ${wanted === 1 ? 'one letter' : 'four letters'} for each state.`,
      );
    }
    // NO and NC may only meet through the blade, that is when both are closed to COM.
    const allowed = terminals === 3 && main === 'CC';
    if (/[CH]/u.test(cross) && !allowed) {
      return {
        code: 'track',
        name: 'path round the blade',
        says:
          terminals === 3
            ? `NO–NC conducts ${state} though COM–NC and COM–NO are not both closed: a carbon track or a second path.`
            : `A terminal of pair A conducts to one of pair B ${state}: an internal bridge or a second path.`,
        next: 'Make sure that its wires are off; if it stays, replace it.',
        healthy: false,
      };
    }
    if (allowed && cross === 'O') {
      return {
        code: 'contradictory',
        name: 'contradictory',
        says: `COM–NC and COM–NO both read closed ${state}, but NO–NC reads open: these cannot all be true.`,
        next: 'Take it as a slip of the probes: read all again.',
        healthy: false,
      };
    }
  }
  return null;
}

function unusable(says: string): ContactsVerdict {
  return {
    code: 'unusable',
    name: 'cannot be read',
    says,
    next: 'Enter it again.',
    healthy: false,
    pattern: '',
  };
}
