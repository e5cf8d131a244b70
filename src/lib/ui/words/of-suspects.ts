/** The diagnosis in the reader's language: how a suspect stands, and why its part is held. */
import type { JobDiagnosis, OrderStanding } from '#lib/core/measure/findings.ts';
import type { Standing } from '#lib/core/measure/diagnosis.ts';
import * as m from '../paraglide/messages.js';
import { getLocale } from '../paraglide/runtime.js';

export const standingName: Readonly<Record<Standing, () => string>> = {
  open: m.suspect_open,
  cleared: m.suspect_cleared,
  blamed: m.suspect_blamed,
  contradicted: m.suspect_contradicted,
};

/** Names one after another, with the “and” of the language. */
export function listed(names: readonly string[]): string {
  return new Intl.ListFormat(getLocale(), { type: 'conjunction' }).format(names);
}

/** Whether the part may be ordered, and what it waits for. */
export function orderSays(
  order: OrderStanding,
  { suspects }: JobDiagnosis,
  notReturnable: boolean,
): string {
  const label = (id: string) => suspects.find((each) => each.id === id)?.label ?? id;
  const part = label(order.suspect);
  const names = listed(order.waitsFor.map(label));
  switch (order.code) {
    case 'may-order':
      return notReturnable ? m.order_may_no_return({ part }) : m.order_may({ part });
    case 'cheaper-open':
      return m.order_waits({ part, names });
    case 'cheaper-blamed':
      return m.order_cheaper_blamed({ part, names });
    case 'not-blamed':
    case 'unknown-suspect':
      return m.order_not_blamed({ part });
  }
}
