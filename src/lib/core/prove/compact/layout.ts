/**
 * A job's state as a row of small whole numbers, and as the few words that such a row packs into.
 *
 * Every place of the row is one component that some gate may ask for, as `state-key.ts` has them; what no
 * gate asks (who and when of a fact, words, times) has no place. A row is `Int32Array`, worked on in place;
 * packed it is the exact key of the state.
 */
import type { Bounds } from '../../job/enabled-commands.ts';
import type { Plan } from '../../job/plan.ts';
import {
  FRESH,
  NOT_APPLICABLE,
  NOT_DONE,
  PART,
  SETTLED,
  UNCHECKED,
  type JobState,
} from '../../job/state.ts';

export const STATUSES: readonly JobState['status'][] = [
  'notOpened',
  'atWork',
  'downTools',
  'parkedUsable',
  'parkedShut',
  'handedBack',
  'refused',
  'evidenceHold',
];

/** The last of them that is no end. */
export const LAST_OPEN = 4;

/** A lock as one number; 0 for none. */
export const UNSURE = 1;
export const SURE = 2;

/** A person as one number. */
export const UNKNOWN_PERSON = 0;
export const AWAY = 1;
export const HERE = 2;

export interface Layout {
  readonly plan: Plan;
  readonly people: readonly string[];
  /** The length of a row. */
  readonly length: number;
  /** Words of a packed row. */
  readonly words: number;
  readonly status: number;
  readonly counted: number;
  readonly doubted: number;
  readonly window: number;
  readonly marks: number;
  /** By step with two hands: first hand (person + 1), and the option it said (index + 1). */
  readonly hands: ReadonlyMap<number, number>;
  readonly points: number;
  readonly holders: number;
  /** By point and person: own lock, then the firm's lock left by that person. */
  readonly own: number;
  readonly firm: number;
  readonly ends: number;
  /** By disconnect step: how many are off, and how many were off and are back. */
  readonly off: number;
  readonly back: number;
  /** By source. */
  readonly caseLive: number;
  readonly cut: number;
  /** By person: here or not; items on; items off. */
  readonly here: number;
  readonly on: number;
  readonly bare: number;
  /** By place: how many bits it packs into. */
  readonly widths: Uint8Array;
  /** By place: word and shift. */
  readonly word: Uint8Array;
  readonly shift: Uint8Array;
}

const MARK_BITS = 3;
const MARKS = [
  0,
  NOT_APPLICABLE,
  NOT_DONE,
  PART | SETTLED,
  PART,
  SETTLED,
  SETTLED | FRESH,
  SETTLED | FRESH | UNCHECKED,
] as const;

/** Three bits tell every combination of a mark's bits that a gate can tell apart. */
export function markCode(mark: number): number {
  if ((mark & NOT_APPLICABLE) !== 0) return 1;
  if ((mark & NOT_DONE) !== 0) return 2;
  if ((mark & PART) !== 0) return (mark & SETTLED) !== 0 ? 3 : 4;
  if ((mark & FRESH) !== 0) return (mark & UNCHECKED) !== 0 ? 7 : 6;
  return (mark & SETTLED) !== 0 ? 5 : 0;
}

/** The code of every mark, by its bits: packing asks for as many as there are steps. */
const MARK_CODES = Uint8Array.from({ length: 64 }, (_, mark) => markCode(mark));

export function layoutOf(plan: Plan, bounds: Bounds): Layout {
  const people = bounds.people.map((person) => person.id);
  const widths: number[] = [];
  const place = (count: number, bits: number): number => {
    const at = widths.length;
    for (let each = 0; each < count; each++) widths.push(bits);
    return at;
  };
  const personBits = bitsFor(people.length);
  const [points, sources] = [plan.points.length, plan.sources.length];
  const disconnects = plan.ofKind.disconnect.length;
  const marks = place(plan.steps.length, MARK_BITS);
  const hands = new Map<number, number>();
  for (const step of plan.steps) {
    if (!step.twice) continue;
    hands.set(step.index, place(1, personBits));
    place(1, 4);
  }
  const layout = {
    plan,
    people,
    status: place(1, 3),
    counted: place(1, 2),
    doubted: place(1, 1),
    window: place(1, bitsFor(plan.steps.length)),
    marks,
    hands,
    points: place(points, 2),
    holders: place(points, personBits),
    own: place(points * people.length, 2),
    firm: place(points * people.length, 2),
    ends: place(plan.ends.length, 1),
    off: place(disconnects, 4),
    back: place(disconnects, 4),
    caseLive: place(sources, 1),
    cut: place(sources, 1),
    here: place(people.length, 2),
    on: place(people.length, Math.max(1, plan.items.length)),
    bare: place(people.length, Math.max(1, plan.items.length)),
  };
  const { word, shift, words } = packing(widths);
  return {
    ...layout,
    length: widths.length,
    words,
    widths: Uint8Array.from(widths),
    word: Uint8Array.from(word),
    shift: Uint8Array.from(shift),
  };
}

/** Bits for 0 to `most`. */
function bitsFor(most: number): number {
  return 32 - Math.clz32(most);
}

function packing(widths: readonly number[]) {
  const [word, shift]: [number[], number[]] = [[], []];
  let [at, used] = [0, 0];
  for (const bits of widths) {
    if (used + bits > 32) [at, used] = [at + 1, 0];
    word.push(at);
    shift.push(used);
    used += bits;
  }
  return { word, shift, words: at + 1 };
}

/** Packs a row into `out` from `at` on. */
export function pack(layout: Layout, row: Int32Array, out: Int32Array, at: number): void {
  const { word, shift, length, words, status } = layout;
  const steps = layout.plan.steps.length;
  if ((row[status] as number) > LAST_OPEN) {
    // After an end only notes follow: which end it was is all that is kept.
    for (let each = 0; each < words; each++) out[at + each] = 0;
    out[at + (word[status] as number)] = (row[status] as number) << (shift[status] as number);
    return;
  }
  let to = 0;
  let held = 0;
  // Places are packed in their order, so that each word is written once; the marks of the steps come first.
  for (let each = 0; each < length; each++) {
    const value = row[each] as number;
    const next = word[each] as number;
    if (next !== to) {
      out[at + to] = held;
      to = next;
      held = 0;
    }
    held |= (each < steps ? (MARK_CODES[value] as number) : value) << (shift[each] as number);
  }
  out[at + to] = held;
}

export function unpack(layout: Layout, from: Int32Array, at: number, row: Int32Array): void {
  const { word, shift, widths, length } = layout;
  const steps = layout.plan.steps.length;
  for (let each = 0; each < length; each++) {
    const bits = widths[each] as number;
    const value =
      ((from[at + (word[each] as number)] as number) >>> (shift[each] as number)) &
      (bits === 32 ? -1 : (1 << bits) - 1);
    row[each] = each < steps ? (MARKS[value] as number) : value;
  }
}

/** The row of an engine's state. */
export function rowOf(layout: Layout, state: JobState): Int32Array {
  const row = new Int32Array(layout.length);
  const { plan, people } = layout;
  const person = (id: string) => people.indexOf(id);
  row[layout.status] = STATUSES.indexOf(state.status);
  row[layout.counted] = state.counted < 0 ? 0 : state.counted > plan.sources.length ? 2 : 1;
  row[layout.doubted] = state.instruments.some((each) => each.doubted) ? 1 : 0;
  row[layout.window] = state.window === undefined ? 0 : state.window.step + 1;
  state.marks.forEach((mark, at) => (row[layout.marks + at] = MARKS[markCode(mark)] as number));
  for (const [step, at] of layout.hands) {
    if (((state.marks[step] ?? 0) & PART) === 0) continue;
    const fact = state.facts[step];
    row[at] = person(fact?.by ?? '') + 1;
    const data = plan.steps[step]?.step;
    const options = data?.do === 'choose' ? Object.keys(data.options) : [];
    row[at + 1] = options.indexOf(fact?.result?.option ?? '') + 1;
  }
  state.points.forEach((point, at) => (row[layout.points + at] = point));
  state.holders.forEach((holder, at) => {
    row[layout.holders + at] = holder === '' ? 0 : person(holder) + 1;
  });
  for (const lock of state.locks) {
    const at = lock.point * people.length + person(lock.owner);
    const sure = lock.sure ? SURE : UNSURE;
    row[(lock.parked ? layout.firm : layout.own) + at] = sure;
  }
  plan.ends.forEach((_, at) => (row[layout.ends + at] = (state.openEnds >> at) & 1));
  plan.ofKind.disconnect.forEach((step, at) => {
    const own = state.connectors.filter((each) => each.step === step);
    row[layout.off + at] = own.filter((each) => each.open).length;
    row[layout.back + at] = own.filter((each) => !each.open).length;
  });
  plan.sources.forEach((_, at) => {
    row[layout.caseLive + at] = (state.caseLive >> at) & 1;
    row[layout.cut + at] = (state.cutAt[at] ?? -1) >= 0 ? 1 : 0;
  });
  for (const each of state.people) {
    const at = person(each.id);
    row[layout.here + at] = each.present ? HERE : AWAY;
    row[layout.on + at] = each.on;
    row[layout.bare + at] = each.off;
  }
  return row;
}
