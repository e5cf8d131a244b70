/** Switch contacts in words: the states of one reading, and the names of the patterns. */
import type { ContactsVerdict, Letter } from '#lib/core/measure/contacts.ts';
import * as m from '../paraglide/messages.js';
import { getLocale } from '../paraglide/runtime.js';
import { contactMeans } from './of-contact-meanings.ts';

export const contactState: Readonly<
  Record<Letter, { readonly name: () => string; readonly means: () => string }>
> = {
  C: { name: m.contact_closed, means: m.contact_closed_means },
  O: { name: m.contact_open, means: m.contact_open_means },
  H: { name: m.contact_high, means: m.contact_high_means },
};

/** The pairs of a switch, in the order in which its letters are written. */
export function pairsOfContacts(terminals: 2 | 3 | 4): readonly string[] {
  if (terminals === 3) return ['COM – NC', 'COM – NO'];
  return terminals === 4 ? [m.contacts_pair_a(), m.contacts_pair_b()] : [m.contacts_pair_one()];
}

interface Meaning {
  readonly name: () => string;
  readonly next: () => string;
}

const replace = m.contact_next_replace;
const identify = m.contact_next_identify;
const actuator = m.contact_next_actuator;

const meanings: Readonly<Record<string, Meaning>> = {
  healthy: { name: m.contact_healthy, next: m.contact_next_works },
  reversed: { name: m.contact_reversed, next: identify },
  welded: { name: m.contact_welded, next: replace },
  'never-closes': { name: m.contact_never_closes, next: replace },
  'burnt-open': { name: m.contact_burnt_open, next: replace },
  'blade-still': { name: m.contact_blade_still, next: actuator },
  'blade-on-no': { name: m.contact_blade_on_no, next: actuator },
  'no-open': { name: m.contact_no_open, next: replace },
  'nc-open': { name: m.contact_nc_open, next: replace },
  'common-open': { name: m.contact_common_open, next: replace },
  'nc-holds': { name: m.contact_nc_holds, next: replace },
  'no-holds': { name: m.contact_no_holds, next: replace },
  'all-joined': { name: m.contact_all_joined, next: replace },
  'reversed-nc-dead': { name: m.contact_reversed_dead, next: identify },
  'reversed-no-dead': { name: m.contact_reversed_dead, next: identify },
  'reversed-no-welded': { name: m.contact_reversed_welded, next: identify },
  contradictory: { name: m.contact_contradictory, next: m.contact_next_again },
  'both-break': { name: m.contact_both_break, next: identify },
  'both-make': { name: m.contact_both_make, next: identify },
  'two-wrong': { name: m.contact_two_wrong, next: identify },
  'not-moving': { name: m.contact_not_moving, next: actuator },
  'a-welded': { name: m.contact_a_welded, next: replace },
  'b-welded': { name: m.contact_b_welded, next: replace },
  'a-open': { name: m.contact_a_open, next: replace },
  'b-open': { name: m.contact_b_open, next: replace },
  'held-pressed': { name: m.contact_held, next: actuator },
  'high-resistance': { name: m.contact_high_resistance, next: m.contact_next_again },
  track: { name: m.contact_track, next: replace },
};

/**
 * Name, meaning and next act of a pattern. The engine writes English; in another language all three come
 * from the catalogue.
 */
export function contactSays(
  verdict: ContactsVerdict,
  terminals: 2 | 3 | 4,
  kind: 'NO' | 'NC' | undefined,
): {
  name: string;
  says: string;
  next: string;
} {
  const meaning = meanings[verdict.code];
  if (getLocale() === 'en' || meaning === undefined)
    return { name: verdict.name, says: verdict.says, next: verdict.next };
  const says = contactMeans(terminals, kind, verdict.pattern) ?? '';
  return { name: meaning.name(), says, next: meaning.next() };
}
