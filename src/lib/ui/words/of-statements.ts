/** What a person states by holding the button of a step. */
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import * as m from '../paraglide/messages.js';

export function statementOf(step: Step, checklist: Checklist): string {
  switch (step.do) {
    case 'confirm':
      return step.states;
    case 'tell':
      return m.state_told();
    case 'wear':
      return wearing(step.on ?? [], step.off ?? []);
    case 'find':
      return m.state_found({ point: pointLabel(step, checklist) });
    case 'isolate':
      return m.state_isolated({ point: pointLabel(step, checklist) });
    case 'unlock':
      return m.state_unlocked({ point: pointLabel(step, checklist) });
    case 'restore':
      return m.state_restored({ point: pointLabel(step, checklist) });
    case 'open':
      return openWords(step.end, checklist);
    case 'close':
      return closeWords(step.end, checklist);
    case 'sign':
      return m.state_signed();
    case 'release': {
      const release = checklist.sources[step.source]?.release;
      return release && 'stated' in release ? release.stated.states : m.state_done();
    }
    default:
      return m.state_done();
  }
}

function wearing(on: readonly string[], off: readonly string[]): string {
  const parts = [
    ...(on.length > 0 ? [m.state_on_me({ items: on.join(', ') })] : []),
    ...(off.length > 0 ? [m.state_off_me({ items: off.join(', ') })] : []),
  ];
  return parts.join('; ');
}

function pointLabel(step: { source: string; point: string }, checklist: Checklist): string {
  return checklist.sources[step.source]?.points?.[step.point]?.label ?? step.point;
}

function openWords(id: string, checklist: Checklist): string {
  const end = checklist.ends[id];
  const label = end?.label ?? id;
  switch (end?.kind) {
    case 'prop':
    case 'strap':
    case 'jumper':
    case 'bracket':
      return m.state_in_place({ end: label });
    default:
      return m.state_off({ end: label });
  }
}

function closeWords(id: string, checklist: Checklist): string {
  const end = checklist.ends[id];
  const label = end?.label ?? id;
  switch (end?.kind) {
    case 'prop':
    case 'strap':
    case 'jumper':
    case 'tool':
      return m.state_taken_out({ end: label });
    default:
      return m.state_back_on({ end: label });
  }
}
