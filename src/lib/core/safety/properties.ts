/** The twelve properties, in their order. */
import { exposedWork } from './p1-exposed-work.ts';
import { leftSafe } from './p10-left-safe.ts';
import { caseFirst } from './p11-case-first.ts';
import { sourcesCounted } from './p12-sources-counted.ts';
import { openAtRestoration } from './p2-open-at-restoration.ts';
import { nobodyInTheWay } from './p3-nobody-in-the-way.ts';
import { ownLock } from './p4-own-lock.ts';
import { proofDies } from './p5-proof-dies.ts';
import { provenMeter } from './p6-proven-meter.ts';
import { waits } from './p7-waits.ts';
import { order } from './p8-order.ts';
import { end } from './p9-end.ts';
import type { Property } from './property.ts';

export const PROPERTIES: readonly Property[] = [
  exposedWork,
  openAtRestoration,
  nobodyInTheWay,
  ownLock,
  proofDies,
  provenMeter,
  waits,
  order,
  end,
  leftSafe,
  caseFirst,
  sourcesCounted,
];
