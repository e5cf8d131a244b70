/** What changes when people come, leave, stop, come back, hand over, or take a lock off for somebody. */
import type { JobEvent } from './events.ts';
import { ENDED_BY, endClear, endWatch, type Draft } from './draft.ts';
import { OPEN, type Lock } from './state.ts';

export function parked(draft: Draft, event: JobEvent & { type: 'job.parked' }): void {
  const { plan } = draft.state;
  const { lock, left, as } = event.body;
  endWatch(draft, ENDED_BY.parked ?? '');
  let locks = [...draft.state.locks];
  if (lock !== undefined) {
    const own = locks.filter((each) => each.owner === event.by).map((each) => each.point);
    const bare = plan.sources.flatMap((source) => {
      const cut = source.points.find((point) => draft.state.points[point] === OPEN);
      const held = source.points.some((point) => locks.some((each) => each.point === point));
      return cut === undefined || held ? [] : [cut];
    });
    const at = [...new Set([...own, ...bare])];
    locks = [
      ...locks.filter((each) => each.owner !== event.by),
      ...at.map((point): Lock => ({
        number: lock,
        owner: event.by,
        point,
        sure: true,
        parked: true,
      })),
    ];
    draft.end(
      own.flatMap((point) => plan.points[point]?.lockSteps ?? []),
      ENDED_BY.parked ?? '',
    );
  }
  draft.set({
    status: as === 'usable' ? 'parkedUsable' : 'parkedShut',
    locks,
    leftOpen: left,
    connectors: draft.state.connectors.map((each) => {
      const open = left.find((one) => one.end === each.id);
      return open && each.open ? { ...each, left: open } : each;
    }),
    people: draft.state.people.map((person) => ({ ...person, present: false })),
  });
}

export function handedOver(draft: Draft, event: JobEvent & { type: 'job.handedOver' }): void {
  const { from, to, lock } = event.body;
  endWatch(draft, ENDED_BY.handedOver ?? '');
  const given = draft.state.locks.filter((each) => each.owner === from && !each.parked);
  const kept = draft.state.locks.filter((each) => !given.includes(each));
  const added = given
    .filter(
      ({ point }) =>
        !kept.some((each) => each.owner === to && each.point === point && !each.parked),
    )
    /* Put on in place of one that has to be seen again, it has to be seen again itself. */
    .map(({ point, sure }): Lock => ({
      number: lock ?? '',
      owner: to,
      point,
      sure,
      parked: false,
    }));
  draft.set({
    locks: [...kept, ...added],
    people: draft.state.people.map((person) =>
      person.id === from ? { ...person, present: false } : person,
    ),
  });
}

export function joined(draft: Draft, event: JobEvent & { type: 'person.joined' }): void {
  const { plan } = draft.state;
  const { person, competence } = event.body;
  draft.end([...plan.ofKind.clear, ...plan.ofKind.tell], ENDED_BY.joined ?? '');
  const others = draft.state.people.filter((each) => each.id !== person);
  draft.set({ people: [...others, { id: person, competence, present: true, on: 0, off: 0 }] });
}

export function left(draft: Draft, event: JobEvent & { type: 'person.left' }): void {
  const { plan } = draft.state;
  const { person } = event.body;
  endClear(draft, 'somebody left');
  const held = plan.points.filter((point) => draft.state.holders[point.index] === person);
  const why = 'who kept it in sight left';
  for (const point of held) {
    draft.end(point.isolateSteps, why);
    draft.end(plan.sources[point.source]?.proveSteps ?? [], why);
  }
  const locks = draft.state.locks.filter((lock) => lock.owner !== person || lock.parked);
  for (const { point } of draft.state.locks) {
    if (locks.some((lock) => lock.point === point)) continue;
    const source = plan.points[point]?.source ?? -1;
    draft.end(plan.sources[source]?.proveSteps ?? [], 'a lock came off');
  }
  draft.set({
    holders: draft.state.holders.map((holder) => (holder === person ? '' : holder)),
    locks,
    people: draft.state.people.map((each) =>
      each.id === person ? { ...each, present: false, on: 0, off: 0 } : each,
    ),
  });
}

export function opened(draft: Draft, event: JobEvent & { type: 'job.opened' }): void {
  draft.set({
    status: 'atWork',
    demo: event.body.demo,
    people: event.body.people.map((person) => ({
      id: person.id,
      competence: person.competence,
      present: true,
      on: 0,
      off: 0,
    })),
    instruments: event.body.instruments.map((card) => ({ card, doubted: false })),
    /* A charge that nothing here feeds has been falling since before anybody came. */
    cutAt: draft.state.plan.sources.map((source) => (source.fedBy.length === 0 ? 0 : -1)),
  });
}

/** Whoever resumes is back; others are if they came while it was parked, or never left. */
export function resumed(draft: Draft, event: JobEvent): void {
  endWatch(draft, ENDED_BY.resumed);
  draft.set({
    status: 'atWork',
    people: draft.state.people.map((person) =>
      person.id === event.by ? { ...person, present: true } : person,
    ),
  });
}

export function lockRemoved(draft: Draft, event: JobEvent & { type: 'lock.removedFor' }): void {
  const { plan } = draft.state;
  const { lock, owner } = event.body;
  const removed = draft.state.locks.filter((each) => each.number === lock && each.owner === owner);
  const sources = new Set(removed.map((each) => plan.points[each.point]?.source ?? -1));
  for (const source of sources) {
    draft.end(plan.sources[source]?.proveSteps ?? [], 'a lock was taken off for its owner');
  }
  endClear(draft, 'a lock was taken off for its owner');
  draft.set({
    locks: draft.state.locks.filter((each) => !removed.includes(each)),
    toRead: [...new Set([...draft.state.toRead, owner])],
  });
}
