/**
 * The part of a job's state that any gate may ask, written exactly into a short text: equal keys, equal
 * futures. No hashing, so two different states can never be taken for one.
 *
 * Left out: who and when of a fact, its result and its words (no gate reads them, but for the first of two
 * hands), an option chosen (its effect stands in the marks of the steps it ruled out), and everything about
 * time, which an explorer keeps at zero. People and connectors of one step
 * are interchangeable, so connectors are written as counts.
 */
import {
  PART,
  SETTLED,
  FRESH,
  NOT_APPLICABLE,
  NOT_DONE,
  UNCHECKED,
  isEnded,
  type JobState,
} from '../job/state.ts';

const STATUS: Readonly<Record<JobState['status'], number>> = {
  notOpened: 0,
  atWork: 1,
  downTools: 2,
  parkedUsable: 3,
  parkedShut: 4,
  handedBack: 5,
  refused: 6,
  evidenceHold: 7,
};

/** Three bits tell every combination of a mark's bits that occurs apart. */
function markCode(mark: number): number {
  if ((mark & NOT_APPLICABLE) !== 0) return 1;
  if ((mark & NOT_DONE) !== 0) return 2;
  const fresh = (mark & FRESH) !== 0;
  if ((mark & PART) !== 0) return (mark & SETTLED) !== 0 ? 3 : 4;
  if (fresh) return (mark & UNCHECKED) !== 0 ? 7 : 6;
  return (mark & SETTLED) !== 0 ? 5 : 0;
}

/** The code of every mark, by its bits. */
const MARK_CODES = Uint8Array.from({ length: 64 }, (_, mark) => markCode(mark));

/** Packs small numbers into 15-bit characters, so that no lone surrogate can arise. */
class Packer {
  text = '';
  private word = 0;
  private used = 0;
  put(value: number, bits: number): void {
    if (this.used + bits > 15) this.flush();
    this.word |= value << this.used;
    this.used += bits;
  }
  flush(): void {
    this.text += String.fromCharCode(this.word);
    this.word = 0;
    this.used = 0;
  }
}

function personIndex(state: JobState, id: string): number {
  if (id === '') return 0;
  return state.people.findIndex((person) => person.id === id) + 1;
}

function putPeople(state: JobState, packer: Packer): void {
  packer.put(state.people.length, 3);
  for (const person of state.people) {
    packer.put(person.present ? 1 : 0, 1);
    for (let item = 0; item < state.plan.items.length; item++) {
      packer.put((person.on >> item) & 1, 1);
      packer.put((person.off >> item) & 1, 1);
    }
  }
}

function putLocks(state: JobState, packer: Packer): void {
  if (state.locks.length === 0) return packer.put(0, 4);
  const codes = state.locks.map(
    (lock) =>
      (lock.point << 5) |
      (personIndex(state, lock.owner) << 2) |
      (lock.sure ? 2 : 0) |
      (lock.parked ? 1 : 0),
  );
  packer.put(codes.length, 4);
  for (const code of codes.sort((a, b) => a - b)) packer.put(code, 11);
}

function putConnectors(state: JobState, packer: Packer): void {
  for (const step of state.plan.ofKind.disconnect) {
    let open = 0;
    let closed = 0;
    for (const each of state.connectors) {
      if (each.step !== step) continue;
      if (each.open) open++;
      else closed++;
    }
    packer.put(open, 6);
    packer.put(closed, 6);
  }
}

/** The key of a state that the explorer keeps at time zero. */
export function stateKey(state: JobState): string {
  if (isEnded(state)) return state.status; /* only notes can follow, and no gate reads them */
  const packer = new Packer();
  packer.put(STATUS[state.status], 3);
  packer.put(state.counted < 0 ? 0 : state.counted > state.plan.sources.length ? 2 : 1, 2);
  for (const mark of state.marks) packer.put(MARK_CODES[mark] as number, 3);
  for (const step of state.plan.steps) {
    if (step.step.twice === true && ((state.marks[step.index] ?? 0) & PART) !== 0) {
      packer.put(personIndex(state, state.facts[step.index]?.by ?? ''), 3);
    }
  }
  for (const point of state.points) packer.put(point, 2);
  for (const holder of state.holders) packer.put(personIndex(state, holder), 3);
  putLocks(state, packer);
  for (let end = 0; end < state.plan.ends.length; end++) packer.put((state.openEnds >> end) & 1, 1);
  putConnectors(state, packer);
  putPeople(state, packer);
  for (const each of state.instruments) packer.put(each.doubted ? 1 : 0, 1);
  for (let source = 0; source < state.plan.sources.length; source++) {
    packer.put((state.caseLive >> source) & 1, 1);
    packer.put((state.cutAt[source] ?? -1) >= 0 ? 1 : 0, 1);
  }
  packer.put(state.window === undefined ? 0 : state.window.step + 1, 8);
  packer.flush();
  return packer.text;
}
