/** The certification of a periodic inspection on paper, with the facts that 29 CFR 1910.147(c)(6)(ii) asks for. */
import { el, type Html } from '../core/bag/front/html.ts';
import type { Printed } from './front-pdf.ts';

export interface Certified {
  readonly no: number;
  /** Title, id and revision of the procedure, and the SHA-256 of its file in canonical form. */
  readonly title: string;
  readonly checklist: string;
  readonly revision: number;
  readonly sha256: string;
  readonly machine: string;
  /** `YYYY-MM-DD`. */
  readonly day: string;
  readonly dueDay: string;
  readonly people: readonly string[];
  readonly inspector: string;
  readonly found: string;
  /** Who wrote it down, and when (milliseconds since 1970). */
  readonly by: string;
  readonly at: number;
  /** Digest of the machine and the findings, as it stands in the office's signed record. */
  readonly digest: string;
}

/** The four facts that the rule wants, said in our own words from memory: its text was not at hand to quote. */
const RULE =
  'Four facts are asked for by 29 CFR 1910.147(c)(6)(ii): which machine, which day, whose work was watched, and who watched it. The text of the rule itself comes first.';

const pair = (name: string, value: string): Html =>
  el('div', {}, el('dt', {}, name), el('dd', {}, value));

export function certificateOf(of: Certified): Printed {
  const head = el(
    'header',
    {},
    el('h1', {}, 'Certification of a periodic inspection'),
    el('p', {}, '29 CFR 1910.147(c)(6)(ii), control of hazardous energy (lockout/tagout)'),
  );
  const facts = el(
    'section',
    {},
    el(
      'dl',
      {},
      pair('Machine', of.machine),
      pair('Day of the inspection', of.day),
      pair('People whose work was watched', of.people.join('; ')),
      pair('Inspector', of.inspector),
      pair(
        'Procedure that was inspected',
        `${of.title} (${of.checklist}, revision ${of.revision})`,
      ),
      pair('Found, and what follows', of.found),
      pair('Due again, at least once a year', of.dueDay),
    ),
    el('p', {}, RULE),
    el('p', {}, 'Signature of the inspector, and the day:'),
    el('div', { class: 'form' }, el('p', {}, ' ')),
    el(
      'p',
      {},
      el(
        'small',
        {},
        `Written down by ${of.by} on ${new Date(of.at).toISOString()} as inspection ${of.no}. Procedure SHA-256 ${of.sha256}. The machine and the findings stand in the signed record of the office as the digest ${of.digest}. This page says what was written down; it does not say that the inspection was enough.`,
      ),
    ),
  );
  return {
    title: `Periodic inspection ${of.no}`,
    sections: [head, facts],
    language: 'en',
    at: new Date(of.at),
    foot: `Periodic inspection ${of.no}`,
  };
}
