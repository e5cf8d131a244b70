/** Survivors of `core/safety` that make no difference, each with the reason. */
import { in_, SAVES, type Argued } from './reasons.ts';

const INDEX = 'the types alone ask for it: an index is taken from the list that it is looked up in';
const ABSENT =
  'the types alone ask for it: what a kind of step does not have is looked up and not found';
const ALIKE = 'two with one name are one, so that two alike are never compared';
const LETTERS = 'the two letters change places, and the text tells as much';
const CACHE = 'what was read before is read again, and comes to the same';
const ELECTRICAL = 'the loader refuses a proof of dead for a source that is not electrical';
const TOLD =
  'the two ways differ for a clock that runs backwards alone, and where time is told none does';
const HELD = 'nobody holds a point that is no plug in hand';

export const ARGUED_SAFETY: readonly Argued[] = [
  ...in_(
    'safety/acts',
    {
      of: 'mark: counts #3',
      done: ['yes'],
      why: 'what does not count is not fresh either, and its time is dropped with the next event',
    },
    { of: 'wear: worn === undefined', done: ['no'], why: INDEX },
    {
      of: "mark: step.do === 'prove'",
      done: ['yes'],
      why: 'only of the proofs of a source it is asked whether they were ever made',
    },
    {
      of: 'noteCount: sources === undefined',
      done: ['no'],
      why: 'the types alone ask for it: no count is no whole number',
    },
    {
      of: 'disconnect: reseatStep > step.index',
      done: ['bound'],
      why: 'two steps are compared of which one takes wires off and the other does not',
    },
    { of: 'disconnect: a.id < b.id', done: ['bound'], why: ALIKE },
  ),
  ...in_(
    'safety/advance',
    { of: 'arrive: a.id < b.id', done: ['bound'], why: ALIKE },
    {
      of: 'applyFindings: found.caseLive !== undefined',
      done: ['yes'],
      why: 'a case that is not named is looked up among the sources and not found',
    },
  ),
  ...in_(
    'safety/asks',
    { of: 'pointFault: point === undefined', done: ['no'], why: INDEX },
    { of: "pointFault: point.control === 'exclusive'", done: ['yes'], why: HELD },
    ...(
      [
        ["isFresh: case 'open'", 'case'],
        ['isFresh: scene.ends[step.end] === true', 'yes'],
      ] as const
    ).map(([of, done]) => ({
      of,
      done: [done],
      why: 'whatever closes an end ends the fact of its opening with it',
    })),
  ),
  ...in_(
    'safety/book',
    { of: "bookOf: 'source' in step", done: ['yes'], why: ABSENT },
    { of: 'bookOf: step.source', done: ['yes'], why: ABSENT },
    { of: "bookOf: 'point' in step", done: ['yes'], why: ABSENT },
    { of: "bookOf: 'end' in step", done: ['yes'], why: ABSENT },
    { of: "pairs: step.do === 'case'", done: ['yes'], why: ABSENT },
    { of: "on: step.do === 'wear'", done: ['yes'], why: ABSENT },
    { of: "off: step.do === 'wear'", done: ['yes'], why: ABSENT },
    {
      of: 'nextInverse: place > index',
      done: ['bound'],
      why: 'no step is its own opposite',
    },
    { of: "stillOpen: step.do === 'window'", done: ['yes'], why: ABSENT },
  ),
  ...in_(
    'safety/clock',
    { of: 'tick: last.boot === stamp.boot', done: ['no'], why: TOLD },
    {
      of: "tick: scene.time === 'told'",
      done: ['no'],
      why: TOLD,
    },
    { of: 'tick: draft.made.length > 0', done: ['yes', 'bound'], why: SAVES },
    {
      of: 'endOld: draft.made.some(({ step }) => ((draft.steps[step] ?? 0) & FRESH) === 0)',
      done: ['yes'],
      why: SAVES,
    },
    { of: 'endOld: ((draft.steps[step] ?? 0) & FRESH) === 0', done: ['yes'], why: SAVES },
  ),
  ...in_('safety/corrections', {
    of: "takeBackOwn: step.do !== 'wear'",
    done: ['no'],
    why: 'a step that is no wearing is worn by nobody, which the same condition asks next',
  }),
  ...in_(
    'safety/facts',
    { of: 'endFact: marks === undefined', done: ['no'], why: INDEX },
    { of: 'endFact: step === undefined', done: ['no'], why: INDEX },
    { of: "endFact: step.do === 'wear'", done: ['yes'], why: SAVES },
    {
      of: 'takeOff: !draft.people.some((person) => person.worn.includes(wear))',
      done: ['no'],
      why: SAVES,
    },
    { of: 'takeOff: person.worn.includes(wear)', done: ['yes'], why: SAVES },
    {
      of: 'unsureHolds: !draft.holds.some((hold) => hold.sure && which(hold))',
      done: ['no'],
      why: SAVES,
    },
    { of: 'unsureHolds: hold.sure', done: ['yes'], why: SAVES },
    { of: 'unsureHolds: which(hold)', done: ['yes'], why: SAVES },
    {
      of: 'byPointAndOwner: a.owner < b.owner',
      done: ['bound'],
      why: 'two owners are compared that are not the same',
    },
    { of: 'takeOffHolds: gone.length === 0', done: ['no'], why: SAVES },
    {
      of: "endHolding: (draft.holders[point] ?? '') === ''",
      done: ['no'],
      why: 'a source with a point that nobody holds and nothing locks has no proof left to end',
    },
    { of: 'endProofsIfBare: source !== undefined', done: ['yes'], why: INDEX },
  ),
  ...in_(
    'safety/lapses',
    { of: "leftSight: point.control === 'exclusive'", done: ['yes'], why: HELD },
    { of: 'endElectricalProofs: source.electrical', done: ['yes'], why: ELECTRICAL },
    {
      of: 'namedSources: id === undefined',
      done: ['no'],
      why: 'no source has the name of none, which is looked up and not found',
    },
  ),
  ...in_(
    'safety/meter',
    {
      of: 'checkFault: off <= expected * knownSourceTolerance * (1 + 1e-9)',
      done: ['bound'],
      why: 'the margin for binary fractions stands between what can be written, so that nothing is on it',
    },
    {
      of: 'waitFault: source === undefined',
      done: ['no'],
      why: 'the loader refuses a charge from a source that it does not have',
    },
    { of: 'siOf: known !== undefined', done: ['no'], why: CACHE },
    {
      of: 'siOf: readings.size >= mostReadings',
      done: ['yes', 'no', 'round', 'bound'],
      why: CACHE,
    },
  ),
  ...in_(
    'safety/monitors',
    {
      of: 'watchingAll: property.watches === undefined',
      done: ['yes'],
      why: 'a property asks for the kind of event by itself, and says nothing about another',
    },
    {
      of: 'watching: property.watches?.includes(type)',
      done: ['yes'],
      why: 'a property asks for the kind of event by itself, and says nothing about another',
    },
    {
      of: "stepOf: 'step' in body",
      done: ['yes'],
      why: 'the types alone ask for it: what is not there is no text',
    },
    {
      of: "stepOf: typeof body.step === 'string'",
      done: ['yes'],
      why: 'the types alone ask for it: what is no text is the name of no step',
    },
  ),
  ...in_('safety/p12-sources-counted', {
    of: 'check: sources !== undefined',
    done: ['yes'],
    why: 'the types alone ask for it: no count is no whole number',
  }),
  ...in_('safety/p4-own-lock', {
    of: 'unlockFault: hold.owner !== event.by',
    done: ['yes'],
    why: 'whoever names their own lock is let go by the condition after it',
  }),
  ...in_(
    'safety/p8-order',
    { of: 'placeFault: earlier !== undefined', done: ['yes'], why: INDEX },
    {
      of: 'placeFault: needed !== undefined',
      done: ['yes'],
      why: 'the loader refuses a need that is no step of the list',
    },
    ...['isBehind: (marks & DONE) !== 0', 'isBehind: !earlier.undoable'].map((of) => ({
      of,
      done: ['no'] as const,
      why: 'of what nothing takes back, the last condition says the same: it is not undone',
    })),
    {
      of: 'isBehind: (marks & DONE) === 0',
      done: ['yes'],
      why: 'a reseat that was done is behind by the first condition already',
    },
    { of: 'wornFault: step.wearing.length === 0', done: ['no'], why: SAVES },
    { of: 'wornFault: step.bare.length === 0', done: ['no'], why: SAVES },
    {
      of: "againFault: event.type === 'window.opened'",
      done: ['no'],
      why: 'of a window the condition for all other steps says the same',
    },
    {
      of: 'againFault: isFresh(scene, step, event.by)',
      done: ['no'],
      why: 'a window that is not open leaves no fact, and one that is open was refused before',
    },
  ),
  ...in_(
    'safety/rebase',
    {
      of: 'release: [source.release.feeders, source.release.waitMs > 0]',
      done: ['yes'],
      why: 'a list is never nothing; its members are asked by themselves',
    },
    ...[
      'release: source.release.waitMs > 0',
      'dead: source.dead !== null',
      'keepsMs: Number.isFinite(step.keepsMs)',
    ].map((of) => ({
      of,
      done: ['round'] as const,
      why: 'yes and no change places on both sides that are compared',
    })),
  ),
  ...in_(
    'safety/scene-key',
    ...['end', 'firm', "kind === 'lock'", 'sure'].map((of) => ({
      of: `sceneKey: ${of}`,
      done: ['round'] as const,
      why: LETTERS,
    })),
    {
      of: 'sceneKey: open',
      done: ['no'],
      why: 'the step that seated an open connector is none, which tells as much as the letter',
    },
    {
      of: 'timesKey: since === Infinity',
      done: ['no'],
      why: 'an age without end is written as such, which tells as much as nothing',
    },
  ),
  ...in_(
    'safety/scene',
    { of: 'dropFor: list.some((one) => one.step === step)', done: ['yes'], why: SAVES },
    { of: 'dropFor: one.step === step', done: ['yes'], why: SAVES },
  ),
];
