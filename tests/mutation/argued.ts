/** Survivors that make no difference, each with the reason; `tests/tidy/mutation.test.ts` holds them true. */
import { ARGUED_JOB } from './argued-job.ts';
import { ARGUED_SAFETY } from './argued-safety.ts';
import type { Place } from './places.ts';
import { in_, NARROWS, SAVES, type Argued } from './reasons.ts';

const TWO_STEPS = 'two steps are compared of which one takes wires off and the other does not';
const OWNERS = 'of an unlocking this rule says nothing either way; the rule of the owner does';
const READ =
  'what was read and not checked since stands until something ends it, and is then checked off';
const DROPPED = 'a step that the plan does not have is dropped where the refusal is written';

export const ARGUED: readonly Argued[] = [
  ...ARGUED_JOB,
  ...ARGUED_SAFETY,
  ...in_('job/gates', { of: 'interlocksOf: !map', done: ['yes'], why: SAVES }),
  ...in_('job/block', {
    of: 'clearing: step === undefined',
    done: ['yes', 'no'],
    why: 'what a refusal names is always a step of the plan; the types alone ask for it',
  }),
  ...in_(
    'job/interlocks-energy',
    {
      of: 'checkCase: allPointsOpen(state, source.index)',
      done: ['yes'],
      why: 'whatever closes a point ends the proofs of its source with it, so that a proof that stands implies the cut',
    },
    { of: "checkCounted: step?.do === 'confirm'", done: ['yes'], why: NARROWS },
    { of: 'checkProps: state.openEnds === 0', done: ['no'], why: SAVES },
    {
      of: 'checkCounted: state.counted < 0',
      done: ['bound'],
      why: 'a count of no sources is refused, so that none is ever kept',
    },
  ),
  ...in_('job/interlocks-people', {
    of: 'checkBriefing: step > ask.step.index',
    done: ['bound'],
    why: 'a step that tells exposes nobody and brings no power back, so that it is never asked about itself',
  }),
  ...in_(
    'job/interlocks',
    { of: 'blockOpenEnds: open === 0', done: ['no'], why: SAVES },
    { of: 'blockOpenEnds: reseat > step', done: ['bound'], why: TWO_STEPS },
    { of: 'mayRepeat: connector.step < step.index', done: ['bound'], why: TWO_STEPS },
    { of: 'checkContacts: at < step.index', done: ['bound'], why: TWO_STEPS },
    { of: 'checkContacts: connector.step < step.index', done: ['bound'], why: TWO_STEPS },
    {
      of: "mayRepeat: case 'restore'",
      done: ['case'],
      why: 'whatever opens a point again asks for its restoration anew, which the other cases let pass, too',
    },
    { of: "mayRepeat: case 'unlock'", done: ['case'], why: OWNERS },
    ...[
      'mayRepeat: state.locks.some( (lock) => lock.point === step.point && (lock.owner === by || lock.parked), )',
      'mayRepeat: lock.point === step.point',
      'mayRepeat: lock.owner === by',
      'mayRepeat: lock.parked',
    ].map((of) => ({ of, done: ['yes', 'no', 'round'] as const, why: OWNERS })),
    {
      of: 'mayRepeat: (mark & SETTLED) === 0 #2',
      done: ['no'],
      why: 'a roll call that is still to come is wanted by what it stands before',
    },
    {
      of: "mayRepeat: case 'close'",
      done: ['case'],
      why: 'whatever opens an end again asks for its closing anew, which the other cases let pass, too',
    },
    {
      of: 'mayRepeat: !isSettled(state, step.index)',
      done: ['no'],
      why: 'what a window allows is not done before it, and asks for it just as well',
    },
    {
      of: 'checkWindow: step.within >= 0',
      done: ['bound'],
      why: 'a live window is never the first step of a list: it is cut and called clear before it',
    },
    ...['covers: step.needs.length > 0', 'covers: step.wantsDead.length > 0'].map((of) => ({
      of,
      done: ['yes', 'bound'] as const,
      why: SAVES,
    })),
    {
      of: 'covers: step.people > 1',
      done: ['yes', 'bound'],
      why: 'whoever asks is here, so that there is always one',
    },
    { of: 'covers: (step.wearing | step.bare) !== 0', done: ['yes'], why: SAVES },
    {
      of: 'checkRollCall: next === undefined #2',
      done: ['no'],
      why: DROPPED,
    },
    {
      of: 'checkContacts: last === undefined',
      done: ['no'],
      why: DROPPED,
    },
    { of: "checkContacts: step.step.do === 'contacts'", done: ['yes'], why: NARROWS },
    { of: "checkWet: ask.step.step.do === 'window'", done: ['yes'], why: NARROWS },
  ),
  ...in_(
    'job/energy',
    {
      of: 'blockUnlessControlled: !locked #2',
      done: ['yes'],
      why: 'a lock comes on by a step that hangs it, and this is the plug without one',
    },
    {
      of: "ended: ended === ''",
      done: ['no'],
      why: 'only the sentence about a proof that ended says what ended it',
    },
  ),
  ...in_('job/wanted', {
    of: 'isPending: !isSettled(state, step.index)',
    done: ['no'],
    why: 'whoever asks has looked for a step that is still to come first',
  }),
  ...in_('job/wanted', { of: 'isWanted: later', done: ['yes'], why: NARROWS }),
  ...in_(
    'job/lapses',
    {
      of: 'isElectricalProof: state.plan.sources[step.source]?.electrical ?? false',
      done: ['yes'],
      why: 'the loader refuses a proof of dead for a source that is not electrical',
    },
    {
      of: 'isCoolRelease: release !== undefined',
      done: ['yes'],
      why: 'the loader refuses a release of a source that does not say how it is let go',
    },
    {
      of: "standing: state.holders[step.point] !== ''",
      done: ['yes'],
      why: 'a cut that nobody holds does not stand, and is not asked about',
    },
    {
      of: "standing: state.plan.points[step.point]?.control === 'exclusive'",
      done: ['yes'],
      why: 'only a plug in hand has a holder, which is asked in the same breath',
    },
    ...['endedByClock: gap.ms === 0', 'endedByClock: !lost'].map((of) => ({
      of,
      done: ['no'] as const,
      why: SAVES,
    })),
    {
      of: 'endedByClock: gap.restarted',
      done: ['yes'],
      why: 'a gap without a restart is always known',
    },
    {
      of: 'endsWithSource: at === undefined',
      done: ['no'],
      why: 'nothing is of a source that is none, so that the comparisons after it fail by themselves',
    },
    {
      of: 'stands: person.present',
      done: ['yes'],
      why: 'who leaves, parks or hands over wears nothing from then on',
    },
    { of: 'endedByLapse: (state.marks[step.index] ?? 0) & UNCHECKED', done: ['no'], why: READ },
    { of: 'endedByLapse: !read', done: ['yes'], why: READ },
    {
      of: "endedByLapse: lapse.what === 'instrumentDoubt'",
      done: ['yes', 'no', 'round'],
      why: READ,
    },
    {
      of: "stands: case 'isolate'",
      done: ['case'],
      why: 'a cut ends with its fact everywhere; where two steps cut one point the record names both, and no gate tells them apart',
    },
  ),
];

export function reasonFor({ file, name, kind }: Place): string | undefined {
  return ARGUED.find((each) => each.file === file && each.of === name && each.done.includes(kind))
    ?.why;
}
