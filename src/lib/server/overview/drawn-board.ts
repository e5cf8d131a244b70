/**
 * What the first page of the office draws of the board. Hundreds of jobs go out with every answer: what is not
 * drawn is not sent, and sources that stand alike are written once.
 */
import type { NowBoard, OpenJob } from './now.ts';

type DrawnSource = Pick<OpenJob['sources'][number], 'id' | 'label' | 'kind' | 'state'>;
type DrawnLock = Omit<OpenJob['locks'][number], 'owner'>;

export interface DrawnJob extends Pick<
  OpenJob,
  | 'job'
  | 'demo'
  | 'title'
  | 'status'
  | 'name'
  | 'site'
  | 'openedAt'
  | 'lastAt'
  | 'dueAt'
  | 'openEnds'
  | 'unread'
> {
  readonly locks: readonly DrawnLock[];
  readonly sources: readonly DrawnSource[];
}

export interface DrawnBoard extends Pick<NowBoard, 'beyond' | 'heard'> {
  readonly open: readonly DrawnJob[];
  readonly left: readonly DrawnJob[];
}

export function drawnOf({ open, left, beyond, heard }: NowBoard): DrawnBoard {
  // The same list is written as a number after the first time, so alike has to mean the same.
  const alike = new Map<string, readonly DrawnSource[]>();
  const sourcesOf = ({ sources }: OpenJob): readonly DrawnSource[] => {
    const drawn = sources.map(({ id, label, kind, state }) => ({ id, label, kind, state }));
    const told = JSON.stringify(drawn);
    const before = alike.get(told) ?? drawn;
    alike.set(told, before);
    return before;
  };
  const drawnJob = (one: OpenJob): DrawnJob => ({
    job: one.job,
    demo: one.demo,
    title: one.title,
    status: one.status,
    name: one.name,
    site: one.site,
    openedAt: one.openedAt,
    lastAt: one.lastAt,
    dueAt: one.dueAt,
    openEnds: one.openEnds,
    unread: one.unread,
    locks: one.locks.map(({ lock, name, point, source, since, sure }) => ({
      lock,
      name,
      point,
      source,
      since,
      sure,
    })),
    sources: sourcesOf(one),
  });
  return { open: open.map(drawnJob), left: left.map(drawnJob), beyond, heard };
}
