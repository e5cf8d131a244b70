/** The longer meaning of every pattern of a switch, by its table and its letters; see `contact-patterns.ts`. */
import * as m from '../paraglide/messages.js';

type Meanings = Readonly<Record<string, () => string>>;

const normallyOpen: Meanings = {
  'O/C': m.contact_means_no_o_c,
  'C/O': m.contact_means_no_c_o,
  'C/C': m.contact_means_no_c_c,
  'O/O': m.contact_means_no_o_o,
};

const normallyClosed: Meanings = {
  'C/O': m.contact_means_nc_c_o,
  'O/C': m.contact_means_nc_o_c,
  'C/C': m.contact_means_nc_c_c,
  'O/O': m.contact_means_nc_o_o,
};

const eitherKind: Meanings = {
  ...normallyOpen,
  'O/C': m.contact_means_any_o_c,
  'C/O': m.contact_means_any_c_o,
};

const changeOver: Meanings = {
  'CO/OC': m.contact_means_three_co_oc,
  'CO/CO': m.contact_means_three_co_co,
  'OC/OC': m.contact_means_three_oc_oc,
  'OC/CO': m.contact_means_three_oc_co,
  'CO/OO': m.contact_means_three_co_oo,
  'OO/OC': m.contact_means_three_oo_oc,
  'OO/OO': m.contact_means_three_oo_oo,
  'CO/CC': m.contact_means_three_co_cc,
  'CC/OC': m.contact_means_three_cc_oc,
  'CC/CC': m.contact_means_three_cc_cc,
  'OC/OO': m.contact_means_three_oc_oo,
  'OO/CO': m.contact_means_three_oo_co,
  'OC/CC': m.contact_means_three_oc_cc,
  'CC/CO': m.contact_means_three_cc_co,
  'CC/OO': m.contact_means_three_cc_oo,
  'OO/CC': m.contact_means_three_oo_cc,
};

const twoPairs: Meanings = {
  'CO/OC': m.contact_means_four_co_oc,
  'CO/CO': m.contact_means_four_co_co,
  'CO/CC': m.contact_means_four_co_cc,
  'CO/OO': m.contact_means_four_co_oo,
  'OO/OC': m.contact_means_four_oo_oc,
  'CC/OC': m.contact_means_four_cc_oc,
  'CC/CC': m.contact_means_four_cc_cc,
  'OO/OO': m.contact_means_four_oo_oo,
  'OC/CO': m.contact_means_four_oc_co,
  'OC/OC': m.contact_means_four_oc_oc,
  'CC/CO': m.contact_means_four_cc_co,
  'OC/CC': m.contact_means_four_oc_cc,
  'OC/OO': m.contact_means_four_oc_oo,
  'OO/CO': m.contact_means_four_oo_co,
  'CC/OO': m.contact_means_four_cc_oo,
  'OO/CC': m.contact_means_four_oo_cc,
};

/** The meaning in the reader's language; undefined for a pattern that no table has. */
export function contactMeans(
  terminals: 2 | 3 | 4,
  kind: 'NO' | 'NC' | undefined,
  pattern: string,
): string | undefined {
  if (pattern.includes('H')) return m.contact_means_high();
  const two = kind === 'NO' ? normallyOpen : kind === 'NC' ? normallyClosed : eitherKind;
  const table = terminals === 2 ? two : terminals === 3 ? changeOver : twoPairs;
  return table[pattern]?.();
}
