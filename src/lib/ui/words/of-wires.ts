/** Colours of wires as words; the drawing keeps its colours for danger and proof. */
import type { OpenEndView } from '#lib/core/job/view-types.ts';
import * as m from '../paraglide/messages.js';

export const wireColours: Readonly<Record<string, () => string>> = {
  black: m.wire_black,
  white: m.wire_white,
  red: m.wire_red,
  blue: m.wire_blue,
  yellow: m.wire_yellow,
  green: m.wire_green,
  orange: m.wire_orange,
  brown: m.wire_brown,
  grey: m.wire_grey,
  violet: m.wire_violet,
};

/** `3, blue at NC`, or `3 at NC`. */
export function connectorName(connector: OpenEndView): string {
  const { label, terminal = '?' } = connector;
  const wire =
    connector.wire === undefined ? undefined : (wireColours[connector.wire]?.() ?? connector.wire);
  return wire === undefined
    ? m.loom_name({ label, terminal })
    : m.loom_name_wire({ label, wire, terminal });
}

/** `6 of 7 reseated; 3, blue at NC is still off`. */
export function reseatedSoFar(home: number, all: number, off: readonly OpenEndView[]): string {
  const first = off[0];
  if (first === undefined) return m.loom_all_home({ count: all });
  if (off.length === 1) return m.loom_one_off({ home, all, connector: connectorName(first) });
  return m.loom_some_off({ home, all });
}
