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

/** The four facts, in our words: the regulation itself is not quoted. */
const RULE =
  '29 CFR 1910.147(c)(6)(ii) asks that the certification identify the machine or equipment on which the procedure was being utilized, the date of the inspection, the employees included in it, and the person who performed it.';

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
      pair('Machine or equipment on which the procedure was being utilized', of.machine),
      pair('Date of the inspection', of.day),
      pair('Employees included in the inspection', of.people.join('; ')),
      pair('Person performing the inspection', of.inspector),
      pair(
        'Energy control procedure inspected',
        `${of.title} (${of.checklist}, revision ${of.revision})`,
      ),
      pair('Found, and what follows', of.found),
      pair('Due again, at least once a year', of.dueDay),
    ),
    el('p', {}, RULE),
    el('p', {}, 'Signature of the person who performed the inspection, and the day:'),
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
