/** What a fact holds, line by line, for people: figures as entered, choices as worded. */
import type { StepResult } from '#lib/core/job/events.ts';
import type { StepView } from '#lib/core/job/view-types.ts';
import type { Desk } from '../desk.ts';
import { stepOf } from '../desk.ts';
import * as m from '../paraglide/messages.js';
import { connectorName } from './of-wires.ts';
import { contactState } from './of-contacts.ts';
import { pairName } from './of-pairs.ts';
import { unitFace } from './of-units.ts';

export function reads(at: StepView, desk: Pick<Desk, 'checklist' | 'view'>): readonly string[] {
  const result = at.fact?.result;
  return result === undefined ? [] : resultLines(at.id, result, desk);
}

export function resultLines(
  id: string,
  result: StepResult,
  desk: Pick<Desk, 'checklist' | 'view'>,
): readonly string[] {
  const step = stepOf(desk.checklist, id);
  const lines: string[] = [];
  if (result.value !== undefined) lines.push(shown(result.value, result.unit ?? ''));
  for (const [pair, { value, unit }] of Object.entries(result.pairs ?? {}))
    lines.push(`${pairName({ id: pair, kind: 'pair' })}: ${shown(value, unit)}`);
  if (result.before)
    lines.push(`${m.pairs_before()}: ${shown(result.before.shown, result.before.unit)}`);
  if (result.after)
    lines.push(`${m.pairs_after()}: ${shown(result.after.shown, result.after.unit)}`);
  if (result.option !== undefined && step?.do === 'choose')
    lines.push(step.options[result.option] ?? result.option);
  if (result.rest !== undefined)
    lines.push(
      `${m.contacts_rest()}: ${letters(result.rest)}. ${m.contacts_pressed()}: ${letters(result.pressed ?? '')}`,
    );
  if (result.lock) lines.push(m.fact_lock({ lock: result.lock }));
  if (result.tag) lines.push(m.fact_tag({ tag: result.tag }));
  if (result.sources !== undefined) lines.push(m.fact_sources({ count: result.sources }));
  for (const connector of result.connectors ?? [])
    lines.push(connectorName({ ...connector, kind: 'connector' }));
  if (result.connector !== undefined) {
    const known = desk.view.connectors.find(({ id: each }) => each === result.connector);
    lines.push(known ? connectorName(known) : result.connector);
  }
  if (result.instrument) lines.push(m.fact_meter({ instrument: result.instrument }));
  return lines;
}

function shown(value: string, unit: string): string {
  return value === 'OL'
    ? 'OL'
    : value === 'unstable'
      ? m.key_unstable()
      : `${value} ${unitFace(unit)}`.trim();
}

function letters(text: string): string {
  return [...text]
    .map((letter) =>
      letter === 'C' || letter === 'O' || letter === 'H' ? contactState[letter].name() : letter,
    )
    .join(', ');
}
