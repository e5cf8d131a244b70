/** What has to be written by hand for a step on paper: the same that the screen asks for. */
import type { Accept, Checklist, Step } from '#lib/core/checklist/model.ts';
import * as m from '../paraglide/messages.js';
import { pairName } from '../words/of-pairs.ts';
import { statementOf } from '../words/of-statements.ts';
import { unitFace, unitsFor } from '../words/of-units.ts';

/** A line to fill in, or a box to tick; `limit` is what it has to be, in figures. */
export interface Blank {
  readonly kind: 'line' | 'box';
  readonly label: string;
  readonly unit?: string;
  readonly limit?: string;
}

/** As many connectors as a sheet has room for; more go on its back. */
const CONNECTOR_LINES = 8;

export function blanksOf(step: Step, checklist: Checklist): readonly Blank[] {
  switch (step.do) {
    case 'reading':
      return readingBlanks(step);
    case 'case':
      return sweep(step.pairs ?? ['case-ground'], '< 5 V');
    case 'prove': {
      const dead = checklist.sources[step.source]?.dead;
      return sweep(dead?.pairs ?? [], `< ${dead?.below ?? ''}`);
    }
    case 'release': {
      const release = checklist.sources[step.source]?.release;
      if (release && 'cool' in release) return [residual(release.cool.below)];
      if (release && 'discharge' in release) return [residual(release.discharge.below)];
      return [box(statementOf(step, checklist))];
    }
    case 'choose':
      return Object.values(step.options).map(box);
    case 'contacts':
      return [line(m.contacts_rest()), line(m.contacts_pressed())];
    case 'lock':
      return [line(m.lock_number()), line(m.lock_tag())];
    case 'tell':
      return [box(statementOf(step, checklist)), line(m.paper_who())];
    case 'find':
      return [box(statementOf(step, checklist)), line(m.paper_place())];
    case 'disconnect':
      return Array.from({ length: CONNECTOR_LINES }, (_, at) =>
        line(m.paper_connector({ number: at + 1 })),
      );
    case 'reseat':
      return Array.from({ length: CONNECTOR_LINES }, (_, at) =>
        box(m.paper_home({ number: at + 1 })),
      );
    case 'window':
      return [line(m.window_why()), line(m.paper_circuit()), line(m.paper_off_again())];
    case 'clear':
      return [line(m.paper_clear())];
    case 'photo':
      return [box(m.paper_photo())];
    default:
      return [box(statementOf(step, checklist))];
  }
}

function line(label: string): Blank {
  return { kind: 'line', label };
}

function box(label: string): Blank {
  return { kind: 'box', label };
}

function residual(below: string): Blank {
  return { ...line(m.paper_reads()), limit: `< ${faced(below)}` };
}

/** A known source, every pair, the known source again. */
function sweep(pairs: readonly string[], limit: string): readonly Blank[] {
  return [
    line(pairName({ id: 'before', kind: 'before' })),
    ...pairs.map((id) => ({ ...line(pairName({ id, kind: 'pair' })), unit: 'V', limit })),
    line(pairName({ id: 'after', kind: 'after' })),
  ];
}

function readingBlanks(step: Extract<Step, { do: 'reading' }>): readonly Blank[] {
  const units = unitsFor(step.quantity).map(unitFace).join(' / ');
  const { accept } = step;
  if (accept && 'pairs' in accept)
    return Object.entries(accept.pairs).map(([id, between]) =>
      limited({ ...line(pairName({ id, kind: 'pair' })), unit: units }, between),
    );
  return [limited({ ...line(m.paper_reads()), unit: units }, accept)];
}

function limited(blank: Blank, accept: Accept | undefined): Blank {
  if (accept === undefined) return blank;
  if ('open' in accept) return { ...blank, limit: 'OL' };
  if ('element' in accept)
    return { ...blank, limit: `${faced(accept.element.watts)}, ${faced(accept.element.volts)}` };
  if ('pairs' in accept) return blank;
  const { least, most } = accept;
  if (least !== undefined && most !== undefined)
    return { ...blank, limit: `${faced(least)} – ${faced(most)}` };
  if (most !== undefined) return { ...blank, limit: `≤ ${faced(most)}` };
  return least === undefined ? blank : { ...blank, limit: `≥ ${faced(least)}` };
}

/** `1 ohm` as an instrument shows it: `1 Ω`. */
function faced(quantity: string): string {
  const [number = '', unit = ''] = quantity.split(' ');
  return `${number} ${unitFace(unit)}`.trim();
}
