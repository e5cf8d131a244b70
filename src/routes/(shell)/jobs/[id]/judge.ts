/** The arithmetic of the core behind the questions that components ask. */
import type { Instrument } from '#lib/core/job/events.ts';
import { CASE_PASS_VOLTS } from '#lib/core/job/meter-results.ts';
import { judgeContacts } from '#lib/core/measure/contacts.ts';
import { checkOnKnownSource } from '#lib/core/measure/instrument.ts';
import { parseQuantity, quantityOf } from '#lib/core/measure/quantity.ts';
import { findTerminals } from '#lib/core/measure/terminal-finder.ts';
import { scaleOf } from '#lib/core/measure/scale.ts';
import { judgeReading } from '#lib/core/measure/verdict.ts';
import type { Judge } from '#lib/ui/desk.ts';

export function judgeWith(cardOf: (id: string) => Instrument | undefined): Judge {
  return {
    caseBelow: `${CASE_PASS_VOLTS} V`,
    reading({ instrument, ...asked }) {
      const verdict = judgeReading({ ...asked, instrument: cardOf(instrument) });
      return { verdict, scale: scaleOf(verdict) };
    },
    contacts: judgeContacts,
    terminals: findTerminals,
    meter({ expected, shown, unit }) {
      const [known, read] = [quantityOf(expected, unit), quantityOf(shown, unit)];
      return known.ok && read.ok && checkOnKnownSource(known.quantity.si, read.quantity.si).ok;
    },
    amount(text) {
      const read = parseQuantity(text);
      return read.ok ? { number: read.quantity.number, unit: read.quantity.unit } : null;
    },
  };
}
