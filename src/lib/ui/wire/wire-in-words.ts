/** What the drawing says, as sentences for those who hear it. */
import type { JobView, PointView, SourceView } from '#lib/core/job/view-types.ts';
import * as m from '../paraglide/messages.js';
import { sourceNote, sourceState } from '../words/of-sources.ts';
import { duration } from '../words/of-time.ts';

type NameOf = (person: string) => string;

export function wireInWords(
  view: Pick<JobView, 'sources' | 'openEnds'>,
  nameOf: NameOf,
): readonly string[] {
  return [
    ...view.sources.map((source) => sourceInWords(source, nameOf)),
    ...view.openEnds.map(({ label }) => m.wire_end({ end: label })),
  ];
}

function sourceInWords(source: SourceView, nameOf: NameOf): string {
  const parts: string[] = [m.wire_source({ source: source.label, state: sourceState(source) })];
  const note = sourceNote(source);
  if (note !== undefined) parts.push(`${note}.`);
  if (source.state === 'dead' && source.keepsMs !== undefined)
    parts.push(m.wire_left({ left: duration(source.keepsMs) }));
  if (source.wait && source.wait.remainingMs > 0)
    parts.push(m.wire_waits({ left: duration(source.wait.remainingMs) }));
  for (const point of source.points) parts.push(...pointInWords(point, nameOf));
  return parts.join(' ');
}

function pointInWords(point: PointView, nameOf: NameOf): string[] {
  const said = { point: point.label };
  const parts = [
    point.position === 'open'
      ? m.wire_point_open(said)
      : point.position === 'closed'
        ? m.wire_point_closed(said)
        : m.wire_point_unknown(said),
  ];
  for (const { number, owner, sure, parked } of point.locks) {
    const lock = { number, name: nameOf(owner) };
    parts.push(
      !sure ? m.wire_lock_unsure(lock) : parked ? m.wire_lock_parked(lock) : m.wire_lock(lock),
    );
  }
  if (point.holder) parts.push(m.wire_in_sight({ name: nameOf(point.holder) }));
  return parts;
}
