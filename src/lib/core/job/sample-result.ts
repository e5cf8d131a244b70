/**
 * A result that a step takes, made up from what the step asks for: what an explorer hands in, and what a
 * demonstration types. Values lie well inside their limits; names and numbers are placeholders.
 */
import type { StepResult } from './events.ts';
import { parseQuantity } from '../measure/quantity.ts';
import { elementOhms } from '../measure/elements.ts';
import type { Accept } from '../checklist/model.ts';
import type { PlanPoint, PlanStep } from './plan.ts';
import type { JobState } from './state.ts';

const UNITS: Readonly<Record<string, string>> = {
  voltage: 'V',
  current: 'A',
  resistance: 'ohm',
  insulation: 'Mohm',
  capacitance: 'uF',
  temperature: '°C',
  pressure: 'kPa',
  power: 'W',
  time: 's',
  length: 'mm',
  mass: 'kg',
  leakage: 'mA',
  concentration: 'ppm',
  irradiance: 'mW/cm2',
  frequency: 'Hz',
};

function inside(
  accept: { least?: string; most?: string },
  unit: string,
): { value: string; unit: string } {
  const [least, most] = [accept.least, accept.most].map((text) => parseQuantity(text ?? ''));
  if (least?.ok && most?.ok) {
    const [low, high] = [least.quantity.value, most.quantity.value];
    const same = least.quantity.unit === most.quantity.unit;
    return same
      ? { value: plain((low + high) / 2), unit: most.quantity.unit }
      : { value: plain(high * 0.9), unit: most.quantity.unit };
  }
  if (most?.ok) return { value: plain(most.quantity.value * 0.3), unit: most.quantity.unit };
  if (least?.ok) return { value: plain(least.quantity.value * 2 + 1), unit: least.quantity.unit };
  return { value: '1.00', unit };
}

/** Four figures as a display shows them: a count is the last digit shown, so `2.6` would be read as ±0.3. */
function plain(value: number): string {
  const size = Math.abs(value);
  if (size < 1e-6) return '0.000';
  return value.toFixed(Math.max(0, 3 - Math.floor(Math.log10(size))));
}

function readingOf(accept: Accept | undefined, quantity: string): StepResult {
  const unit = UNITS[quantity] ?? '';
  if (!accept) return { value: '1.00', unit };
  if ('open' in accept) return { value: 'OL', unit };
  if ('element' in accept) {
    const [volts, watts] = [
      parseQuantity(accept.element.volts),
      parseQuantity(accept.element.watts),
    ];
    const ohms =
      volts.ok && watts.ok ? elementOhms(volts.quantity.si, watts.quantity.si) : undefined;
    return { value: ohms?.ok ? ohms.value.ohms.toPrecision(4) : '20.00', unit: 'ohm' };
  }
  if ('pairs' in accept) {
    const pairs = Object.entries(accept.pairs).map(([pair, limits]) => [
      pair,
      inside(limits, unit),
    ]);
    return { pairs: Object.fromEntries(pairs) };
  }
  return inside(accept, unit);
}

function checkedMeter(instrument: string): StepResult {
  const check = { expected: '120', shown: '119.6', unit: 'V' };
  return { before: check, after: check, instrument };
}

/** A meter in doubt is checked on a known source before it reads. */
function checkedFirst(state: JobState): StepResult {
  const { before } = checkedMeter('');
  return state.instruments[0]?.doubted === true && before ? { before } : {};
}

function residual(below: string): StepResult {
  const limit = parseQuantity(below);
  if (!limit.ok) return {};
  const value = limit.quantity.dimension === 'temperature' ? limit.quantity.value * 0.6 : 0;
  return { value: value === 0 ? '0.0' : plain(value), unit: limit.quantity.unit };
}

function releaseOf(state: JobState, step: PlanStep): StepResult {
  const release = state.plan.sources[step.source]?.source.release;
  if (!release || 'stated' in release) return {};
  if ('cool' in release) return residual(release.cool.below);
  return residual('discharge' in release ? release.discharge.below : release.measured.below);
}

const HEALTHY: Readonly<Record<number, { rest: string; pressed: string }>> = {
  2: { rest: 'O', pressed: 'C' },
  3: { rest: 'CO', pressed: 'OC' },
  4: { rest: 'CO', pressed: 'OC' },
};

/** A passing result for a step that has one natural answer; choices and connectors are the caller's. */
export function sampleResult(state: JobState, step: PlanStep, by: string): StepResult {
  const instrument = state.instruments[0]?.card.id ?? '';
  const data = step.step;
  switch (data.do) {
    case 'confirm':
      return data.counts === 'sources' ? { sources: state.plan.sources.length } : {};
    case 'case': {
      const pairs = (data.pairs ?? ['case-ground']).map((pair) => [
        pair,
        { value: '0.3', unit: 'V' },
      ]);
      return { pairs: Object.fromEntries(pairs), ...checkedMeter(instrument) };
    }
    case 'prove': {
      const wanted = state.plan.sources[step.source]?.source.dead?.pairs ?? [];
      const pairs = wanted.map((pair) => [pair, { value: '0.0', unit: 'V' }]);
      const counted = state.counted < 0 ? { sources: state.plan.sources.length } : {};
      return { pairs: Object.fromEntries(pairs), ...checkedMeter(instrument), ...counted };
    }
    case 'reading':
      return { ...readingOf(data.accept, data.quantity), instrument, ...checkedFirst(state) };
    case 'contacts':
      return data.terminals === 2 && data.rest === 'closed'
        ? { rest: 'C', pressed: 'O' }
        : { ...HEALTHY[data.terminals] };
    case 'release':
      return 'stated' in (state.plan.sources[step.source]?.source.release ?? {})
        ? {}
        : { ...releaseOf(state, step), instrument };
    case 'isolate':
      return { operated: (state.plan.points[step.point] as PlanPoint).by };
    case 'lock':
      return { lock: `${by}-${step.point}`, tag: `Do not operate. ${by}` };
    case 'clear':
      return {
        people: state.people.filter((person) => person.present).map((person) => person.id),
        tools: 0,
      };
    case 'choose':
      return { option: Object.keys(data.options)[0] ?? '' };
    default:
      return {};
  }
}
