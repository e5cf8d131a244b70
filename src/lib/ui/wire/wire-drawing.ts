/**
 * Where each thing of one line stands, in drawing units: the supply at the left, every isolation point
 * in between, the appliance at the right. A run is a piece of conductor between two of them, drawn as
 * what is known about it: a wave is live, dashes are unproved, a flat stroke is proved dead.
 */
import type { PointView, SourceView } from '#lib/core/job/view-types.ts';

export type RunState = 'live' | 'doubt' | 'cut' | 'still';

export interface Run {
  readonly from: number;
  readonly to: number;
  readonly state: RunState;
}

export interface PlacedPoint {
  readonly point: PointView;
  /** Middle of its symbol. */
  readonly x: number;
}

export interface Line {
  readonly width: number;
  readonly runs: readonly Run[];
  readonly points: readonly PlacedPoint[];
  readonly supply: number;
  readonly appliance: number;
}

/** Height of the wire itself above the foot of the drawing's upper part. */
export const WIRE_Y = 34;
/** Half the width of a point's symbol. */
export const HALF = 24;
const SUPPLY = 20;
const APPLIANCE = 52;

/** @param width drawing units, at least 300 */
export function lineOf(source: SourceView, width: number): Line {
  const supply = SUPPLY + 14;
  const appliance = width - APPLIANCE;
  const room = (appliance - supply) / (source.points.length + 1);
  const points = source.points.map((point, index) => ({ point, x: supply + room * (index + 1) }));
  const firstOpen = points.findIndex(({ point }) => point.position === 'open');
  const edges = [supply, ...points.flatMap(({ x }) => [x - HALF, x + HALF]), appliance];
  const runs: Run[] = [];
  for (let index = 0; index * 2 < edges.length - 1; index++) {
    const from = edges[index * 2];
    const to = edges[index * 2 + 1];
    if (from === undefined || to === undefined) break;
    runs.push({ from, to, state: stateOfRun(source, index, firstOpen, points.length) });
  }
  return { width, runs, points, supply: SUPPLY, appliance };
}

/** Up to the first open point the line is the supply's; only the last run is what the proof was taken on. */
function stateOfRun(source: SourceView, run: number, firstOpen: number, last: number): RunState {
  if (source.state === 'unknown') return 'doubt';
  if (firstOpen < 0) return source.state === 'live' || source.state === 'window' ? 'live' : 'doubt';
  if (run <= firstOpen) return 'live';
  return source.state === 'dead' && run === last ? 'still' : 'cut';
}

/**
 * A conductor as path data: a sine of whole half waves whose height says how alive it is.
 * @param height amplitude in drawing units; 0 is flat
 */
export function conductor(from: number, to: number, height: number, y = WIRE_Y): string {
  const length = to - from;
  if (length <= 0) return '';
  if (height === 0) return `M${from} ${y}H${to}`;
  const waves = Math.max(1, Math.round(length / 9));
  const step = length / waves;
  let path = `M${round(from)} ${y}`;
  for (let wave = 0; wave < waves; wave++) {
    const peak = wave % 2 === 0 ? y - height * 2 : y + height * 2;
    path += `Q${round(from + step * (wave + 0.5))} ${round(peak)} ${round(from + step * (wave + 1))} ${y}`;
  }
  return path;
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}

/** Two letters for a lock: `rosa-marsh` and `Rosa Marsh` give RM, `rosa` gives RO. */
export function initials(name: string): string {
  const words = name.split(/[\s_.-]+/u).filter((word) => word !== '');
  const letters = words.length > 1 ? words.map((word) => [...word][0]).join('') : (words[0] ?? '?');
  return [...letters].slice(0, 2).join('').toUpperCase();
}
