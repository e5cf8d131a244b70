/**
 * What a record tells, gathered for a reader: who, isolated how, proved dead with what, found what,
 * closed how many of how many, left how, and everything that did not go by the list.
 *
 * Reads events only, never the engine's state: the page must say what the record says.
 */
import type { Checklist, Step, StepKind } from '../../checklist/model.ts';
import { withEdits } from '../../checklist/revision-edits.ts';
import { OFFICE_APART_S } from '../../job/events.ts';
import type {
  ConnectorLabel,
  Instrument,
  JobEvent,
  LeftOpen,
  MeterCheck,
  Shown,
  StepResult,
} from '../../job/events.ts';
import type { FrontInput } from './front-input.ts';

/** An entry as a place in time. */
export interface Moment {
  readonly seq: number;
  readonly at: string;
  readonly by: string;
  /** When the act was, for an entry made later. */
  readonly acted?: string;
}

/** A private value of an entry. */
export type Private =
  | { readonly state: 'shown'; readonly value: string }
  | { readonly state: 'withheld' | 'erased' | 'none' };

export interface DoneStep {
  readonly moment: Moment;
  readonly step: Step;
  /** The revision in force when it was done. */
  readonly checklist: Checklist;
  readonly result: StepResult;
  readonly part: boolean;
}

export interface PersonStory {
  readonly id: string;
  readonly name: Private;
  readonly competence: readonly string[];
  readonly joined: Moment;
  /** By whose hand they joined, where the entry says so. */
  readonly hand: 'code' | 'pin' | null;
  readonly left: Moment | null;
  /** Thumbprints of the keys that signed for them. */
  readonly keys: readonly string[];
}

export interface ConnectorStory extends ConnectorLabel {
  readonly off: Moment;
  readonly on: Moment | null;
  readonly before: readonly string[];
  readonly after: readonly string[];
}

export interface Exception {
  readonly moment: Moment;
  readonly event: JobEvent;
  /** Private values of the entry, by name. */
  readonly told: Private;
}

export type Ending =
  | {
      readonly kind: 'handedBack' | 'refused' | 'evidenceHeld';
      readonly moment: Moment;
      readonly why?: string;
      readonly left: readonly LeftOpen[];
    }
  | {
      readonly kind: 'parked';
      readonly moment: Moment;
      readonly as: 'usable' | 'shut';
      readonly until: string;
      readonly left: readonly LeftOpen[];
      readonly told: Private;
      readonly owner: Private;
    }
  | { readonly kind: 'open'; readonly moment: Moment; readonly left: readonly LeftOpen[] };

export interface Story {
  readonly demo: boolean;
  readonly site: Private;
  readonly opened: Moment;
  readonly last: Moment;
  readonly people: readonly PersonStory[];
  readonly instruments: readonly Instrument[];
  /** Every step that was done and not corrected since, in the order of the record. */
  readonly done: readonly DoneStep[];
  readonly connectors: readonly ConnectorStory[];
  readonly exceptions: readonly Exception[];
  readonly ending: Ending;
  readonly amendments: readonly {
    readonly moment: Moment;
    readonly about: string;
    readonly text: string;
  }[];
}

export function momentOf(event: JobEvent, seq: number): Moment {
  const acted = event.type === 'step.done' ? event.body.acted : undefined;
  return { seq, at: event.at, by: event.by, ...(acted === undefined ? {} : { acted }) };
}

export function storyOf(input: FrontInput): Story {
  const { events } = input;
  const opened = events[0];
  const last = events.at(-1);
  if (opened?.type !== 'job.opened' || last === undefined) {
    throw new TypeError('A story begins with the entry that opened the job.');
  }
  const done = doneSteps(input);
  return {
    demo: opened.body.demo,
    site: privateOf(input, 0, 'site'),
    opened: momentOf(opened, 0),
    last: momentOf(last, events.length - 1),
    people: peopleOf(input),
    instruments: opened.body.instruments,
    done,
    connectors: connectorsOf(done),
    exceptions: exceptionsOf(input),
    ending: endingOf(input),
    amendments: events.flatMap((event, seq) =>
      event.type === 'amended' ? [{ moment: momentOf(event, seq), ...event.body }] : [],
    ),
  };
}

/** A private value by the name it was disclosed under; withheld when the entry has more digests. */
export function privateOf(input: FrontInput, seq: number, name: string): Private {
  const shown = input.disclosures.filter((one) => one.seq === seq);
  const found = shown.find((one) => one.name === name);
  if (found !== undefined) return { state: 'shown', value: String(found.value) };
  const digests = input.sealed[seq]?.entry._sd ?? [];
  const hidden = digests.filter((digest) => !shown.some((one) => one.digest === digest));
  if (hidden.length === 0) return { state: 'none' };
  const erased = new Set(
    input.events.flatMap((event) =>
      event.type === 'disclosure.erased' ? [event.body.digest] : [],
    ),
  );
  return { state: hidden.every((digest) => erased.has(digest)) ? 'erased' : 'withheld' };
}

function doneSteps(input: FrontInput): DoneStep[] {
  let { checklist } = input;
  const byId = () => new Map(checklist.steps.map((step) => [step.id, step]));
  let steps = byId();
  const done: DoneStep[] = [];
  for (const [seq, event] of input.events.entries()) {
    if (event.type === 'step.corrected') {
      const at = done.findLastIndex(({ step }) => step.id === event.body.step);
      if (at !== -1) done.splice(at, 1);
    }
    if (event.type === 'job.rebased') {
      // What cannot be followed is found by the check of the checklist; the page goes on with the old one.
      const revised = withEdits(checklist, event.body.edits) as Checklist | null;
      if (revised !== null && Array.isArray(revised.steps)) checklist = revised;
      steps = byId();
    }
    const step = event.type === 'step.done' ? steps.get(event.body.step) : undefined;
    if (event.type !== 'step.done' || step === undefined) continue;
    const { result, part = false } = event.body;
    done.push({ moment: momentOf(event, seq), step, checklist, result, part });
  }
  return done;
}

/** The done steps of some kinds. */
export function ofKind(story: Story, ...kinds: readonly StepKind[]): DoneStep[] {
  return story.done.filter(({ step }) => kinds.includes(step.do));
}

const COMING_AND_GOING: ReadonlySet<JobEvent['type']> = new Set<JobEvent['type']>([
  'job.opened',
  'person.joined',
  'person.left',
]);

function peopleOf(input: FrontInput): PersonStory[] {
  const people = new Map<string, PersonStory>();
  const keysOf = (id: string): string[] => [
    ...new Set(input.sealed.filter(({ entry }) => entry.by === id).map(({ entry }) => entry.key)),
  ];
  const join = (
    { id, competence }: Pick<PersonStory, 'id' | 'competence'>,
    joined: Moment,
    name: Private,
    hand: PersonStory['hand'],
  ): void => {
    people.set(id, { id, name, competence, joined, hand, left: null, keys: keysOf(id) });
  };
  for (const [seq, event] of input.events.entries()) {
    if (!COMING_AND_GOING.has(event.type)) continue;
    const moment = momentOf(event, seq);
    if (event.type === 'job.opened') {
      for (const { id, competence } of event.body.people) {
        join({ id, competence }, moment, privateOf(input, seq, `name.${id}`), null);
      }
    } else if (event.type === 'person.joined') {
      const { person: id, competence, hand } = event.body;
      join({ id, competence }, moment, privateOf(input, seq, 'name'), hand?.by ?? null);
    } else if (event.type === 'person.left') {
      const person = people.get(event.body.person);
      if (person !== undefined) people.set(person.id, { ...person, left: moment });
    }
  }
  return [...people.values()];
}

function connectorsOf(done: readonly DoneStep[]): ConnectorStory[] {
  const connectors: ConnectorStory[] = [];
  for (const { moment, step, result } of done) {
    const photos = result.photos ?? [];
    if (step.do === 'disconnect') {
      for (const one of result.connectors ?? []) {
        const pinned = one.pin === undefined ? [] : [one.pin.photo];
        const before = [...new Set([...pinned, ...photos])];
        connectors.push({ ...one, off: moment, on: null, before, after: [] });
      }
    } else if (step.do === 'reseat' && result.connector !== undefined) {
      const at = connectors.findLastIndex((one) => one.id === result.connector && one.on === null);
      const found = connectors[at];
      if (found !== undefined) connectors[at] = { ...found, on: moment, after: photos };
    }
  }
  return connectors;
}

/** Whatever did not go by the list, in the order it happened. */
const EXCEPTIONAL: ReadonlySet<JobEvent['type']> = new Set<JobEvent['type']>([
  'step.notDone',
  'step.corrected',
  'try.refused',
  'fact.lapsed',
  'window.opened',
  'window.closed',
  'job.parked',
  'job.resumed',
  'job.handedOver',
  'job.rebased',
  'lock.removedFor',
  'tingle',
  'nearMiss',
  'tools.down',
  'job.refused',
  'evidence.held',
  'clock.noted',
  'program.noted',
  'disclosure.erased',
  'key.rotated',
]);

function exceptionsOf(input: FrontInput): Exception[] {
  return input.events.flatMap((event, seq): Exception[] => {
    const late = event.type === 'step.done' && event.body.acted !== undefined;
    // A step that an earlier choice rules out is the list working, not an exception to it.
    const ruledOut = event.type === 'step.notDone' && !event.body.applies;
    // Nor is a clock that was compared with the office's and agreed.
    const agreed =
      event.type === 'clock.noted' &&
      event.body.what === 'office' &&
      Math.abs(event.body.seconds) < OFFICE_APART_S;
    if (agreed || ruledOut || (!late && !EXCEPTIONAL.has(event.type))) return [];
    return [{ moment: momentOf(event, seq), event, told: privateOf(input, seq, 'told') }];
  });
}

function endingOf(input: FrontInput): Ending {
  const { events } = input;
  const at = events.findLastIndex(({ type }) =>
    ['job.closed', 'job.refused', 'evidence.held', 'job.parked', 'job.resumed'].includes(type),
  );
  const event = events[at];
  const last = events.at(-1) as JobEvent;
  const moment = momentOf(event ?? last, event === undefined ? events.length - 1 : at);
  switch (event?.type) {
    case 'job.closed':
      return { kind: 'handedBack', moment, left: [] };
    case 'job.refused':
      return { kind: 'refused', moment, why: event.body.why, left: event.body.left };
    case 'evidence.held':
      return { kind: 'evidenceHeld', moment, why: event.body.why, left: [] };
    case 'job.parked': {
      const { as, until, left } = event.body;
      const [told, owner] = [privateOf(input, at, 'told'), privateOf(input, at, 'owner')];
      return { kind: 'parked', moment, as, until, left, told, owner };
    }
    default:
      return { kind: 'open', moment: momentOf(last, events.length - 1), left: [] };
  }
}

export type { MeterCheck, Shown };
