/**
 * Each source over time, as the record tells it: live, cut, proved dead, unknown, open for a live test.
 *
 * A simple reading of the events for drawing, made without the engine; it judges nothing.
 */
import type { Source } from '../../checklist/model.ts';
import type { JobEvent } from '../../job/events.ts';
import type { FrontInput } from './front-input.ts';

/** `present` and `released` are of an energy that no point cuts: heat, a charge, a spring. */
export type BandState = 'live' | 'cut' | 'dead' | 'present' | 'released' | 'unknown' | 'window';

export interface Band {
  readonly state: BandState;
  /** Index of the entry that began it. */
  readonly from: number;
}

export interface SourceBands {
  readonly id: string;
  readonly label: string;
  readonly kind: Source['kind'];
  readonly bands: readonly Band[];
}

interface Running {
  readonly id: string;
  readonly source: Source;
  readonly open: Set<string>;
  readonly bands: Band[];
}

/** What the machine's sources went through, in the order of the checklist. */
export function bandsOf(input: FrontInput): SourceBands[] {
  const sources = Object.entries(input.checklist.sources).map(([id, source]): Running => {
    const state = source.points === undefined ? 'present' : 'live';
    return { id, source, open: new Set(), bands: [{ state, from: 0 }] };
  });
  const kinds = new Map(input.checklist.steps.map((step) => [step.id, step]));
  for (const [seq, event] of input.events.entries()) {
    for (const running of sources) become(running, stateAfter(event, running, kinds), seq);
    for (const charge of sources) {
      if (charge.source.kind !== 'charge') continue;
      const filled = sources.some((one) => feeds(one, charge) && turnedLive(one, seq));
      if (filled) become(charge, 'present', seq);
    }
  }
  return sources.map(({ id, source, bands }) => {
    const label = input.shown?.sources[id] ?? source.label;
    return { id, label, kind: source.kind, bands };
  });
}

function become({ bands }: Running, state: BandState | null, from: number): void {
  if (state !== null && bands.at(-1)?.state !== state) bands.push({ state, from });
}

/** A charge is filled by the source it names, or by any electrical one. */
function feeds({ id, source }: Running, charge: Running): boolean {
  const { from } = charge.source;
  return from === undefined ? source.kind === 'electrical' : from === id;
}

function turnedLive({ bands }: Running, seq: number): boolean {
  const last = bands.at(-1);
  return seq > 0 && last?.from === seq && (last.state === 'live' || last.state === 'window');
}

type Steps = ReadonlyMap<string, FrontInput['checklist']['steps'][number]>;

function stateAfter(event: JobEvent, running: Running, steps: Steps): BandState | null {
  const { id } = running;
  switch (event.type) {
    case 'step.done':
      return afterStep(event.body.step, running, steps);
    case 'fact.lapsed':
      return afterLapse(event.body, running, steps);
    case 'window.opened':
      return event.body.source === id ? 'window' : null;
    case 'window.closed':
      if (event.body.source !== id) return null;
      return event.body.unexpected ? 'unknown' : cutOr(running, 'live');
    case 'try.refused':
      return event.body.live === id ? 'live' : null;
    case 'job.parked':
    case 'job.handedOver':
      return running.bands.at(-1)?.state === 'dead' ? cutOr(running, 'unknown') : null;
    default:
      return null;
  }
}

function cutOr({ source, open }: Running, otherwise: BandState): BandState {
  const points = Object.keys(source.points ?? {});
  return points.length > 0 && points.every((point) => open.has(point)) ? 'cut' : otherwise;
}

function afterStep(id: string, running: Running, steps: Steps): BandState | null {
  const step = steps.get(id);
  if (step === undefined || !('source' in step) || step.source !== running.id) return null;
  const now = running.bands.at(-1)?.state ?? 'live';
  switch (step.do) {
    case 'isolate':
      running.open.add(step.point);
      return cutOr(running, now);
    case 'restore':
      running.open.delete(step.point);
      return running.open.size === 0 ? 'live' : now === 'dead' ? 'cut' : now;
    case 'prove':
      return 'dead';
    case 'release':
      return 'released';
    default:
      return null;
  }
}

function afterLapse(
  lapse: Extract<JobEvent, { type: 'fact.lapsed' }>['body'],
  running: Running,
  steps: Steps,
): BandState | null {
  if (lapse.what === 'reEnergized') return lapse.source === running.id ? 'unknown' : null;
  if (running.bands.at(-1)?.state !== 'dead') return null;
  const ended = lapse.steps.some((id) => {
    const step = steps.get(id);
    return step?.do === 'prove' && step.source === running.id;
  });
  return ended ? cutOr(running, 'unknown') : null;
}
