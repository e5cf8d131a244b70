/** Survivors of `core/job` outside its gates that make no difference, each with the reason. */
import { in_, NARROWS, type Argued } from './reasons.ts';

const WEIGHED =
  'what is put forward beyond this is weighed next, and refused there before anything is offered';
const PARSED = 'it only saves the platform’s own reading of a time, which comes to the same number';
const SAME_CLOCK = 'it only saves making the clock anew, which comes to the same clock';
const EDITS = 'edits keep the parts of a step in their order, so that the sorting changes nothing';
const KEEPS =
  'whether there is a shelf life stands in the shape twice, with the figure of the plan beside the text';
const LETTERS = 'yes and no change places on both sides that are compared';
const LIST = 'the types alone ask for it: an index is taken from the list that it is looked up in';
const ABSENT =
  'the types alone ask for it: what a kind of step does not have is looked up and not found';
const LOADED = 'the loader refuses a list whose figures cannot be read';
const STANDS = 'it only saves writing a value over itself';

export const ARGUED_JOB: readonly Argued[] = [
  ...in_(
    'job/enabled-commands',
    { of: "stepOrders: case 'window'", done: ['case'], why: WEIGHED },
    { of: 'stepOrders: connectors.length === 0', done: ['no'], why: WEIGHED },
    {
      of: 'stepCandidates: stepBlocks(state, step, by, true).length === 0',
      done: ['yes'],
      why: WEIGHED,
    },
    { of: 'stepCandidates: step.step.optional', done: ['yes'], why: WEIGHED },
    { of: 'stepCandidates: mark !== 0', done: ['yes'], why: WEIGHED },
    { of: "candidates: state.status === 'atWork'", done: ['yes'], why: WEIGHED },
    {
      of: 'stepsOnly: stepBlocks(state, step, by, true).length === 0',
      done: ['yes'],
      why: WEIGHED,
    },
    { of: 'enabledCommands: isEnded(state)', done: ['no'], why: WEIGHED },
    ...[
      'isAnyOf: names === undefined',
      'isAnyOf: of.some((name) => names.has(name))',
      'isAnyOf: names.has(name)',
      'stepCandidates: isAnyOf(names, CORRECTION)',
      'candidates: isAnyOf(names, COMING_AND_GOING)',
      'candidates: isAnyOf(names, EXITS)',
      "candidates: isAnyOf(names, ['lapse'])",
    ].map((of) => ({
      of,
      done: ['yes'] as const,
      why: 'what is put forward beyond the names that are asked for is left out by its name next',
    })),
    { of: "nextConnectors: data.do === 'disconnect'", done: ['yes'], why: NARROWS },
    {
      of: 'candidates: anyone !== undefined',
      done: ['yes'],
      why: 'a job that was opened has somebody who opened it',
    },
  ),
  ...in_(
    'job/running-clock',
    { of: 'msOf: at === newer.at', done: ['no'], why: PARSED },
    { of: 'msOf: at === older.at', done: ['no'], why: PARSED },
    ...[
      'at.length !== 24',
      "at[10] !== 'T'",
      "at[13] !== ':'",
      "at[16] !== ':'",
      "at[19] !== '.'",
    ].map((of) => ({ of: `read: ${of}`, done: ['yes'] as const, why: PARSED })),
    { of: "read: at[23] !== 'Z'", done: ['yes'], why: PARSED },
    ...['hours < 24', 'minutes < 60', 'seconds < 60', 'rest < 1000'].map((of) => ({
      of: `read: ${of}`,
      done: ['no'] as const,
      why: PARSED,
    })),
    { of: 'read: !at.startsWith(today.at)', done: ['yes'], why: PARSED },
    { of: "read: today.at === ''", done: ['yes'], why: PARSED },
    { of: 'read: rest < 1000', done: ['yes', 'bound'], why: 'three digits are below a thousand' },
    { of: 'digits: at < from + count', done: ['yes', 'bound'], why: PARSED },
    { of: 'digits: digit < 0', done: ['yes', 'round', 'bound'], why: PARSED },
    { of: 'digits: digit > 9', done: ['yes', 'round', 'bound'], why: PARSED },
    { of: 'gapOf: clock.boot === stamp.boot', done: ['no'], why: SAME_CLOCK },
    { of: 'gapOf: clock.mono === stamp.mono', done: ['no'], why: SAME_CLOCK },
    { of: 'gapOf: clock.at === stamp.at', done: ['no'], why: SAME_CLOCK },
    { of: 'advance: clock.boot === stamp.boot', done: ['no'], why: SAME_CLOCK },
    { of: 'advance: clock.mono === stamp.mono', done: ['no'], why: SAME_CLOCK },
    { of: 'advance: clock.at === stamp.at', done: ['no'], why: SAME_CLOCK },
    {
      of: "elapsed: clock.boot === ''",
      done: ['yes', 'no', 'round'],
      why: 'both ways come to the same milliseconds',
    },
    {
      of: 'elapsed: clock.boot !== stamp.boot',
      done: ['yes'],
      why: 'both ways come to the same milliseconds',
    },
    {
      of: 'ms: wall > 0',
      done: ['bound'],
      why: 'a gap of nothing is nothing whichever way it is read',
    },
  ),
  ...in_(
    'job/rebase',
    {
      of: 'shapeOfStep: value !== undefined',
      done: ['yes'],
      why: 'a list is read from JSON, which has no part that is undefined',
    },
    { of: 'shapeOfStep: String(a) < String(b)', done: ['yes', 'no', 'round', 'bound'], why: EDITS },
    { of: 'attested: a < b', done: ['yes', 'no', 'round', 'bound'], why: EDITS },
    {
      of: 'shapeOfStep: step.keeps?.for !== undefined',
      done: ['yes', 'no', 'round'],
      why: KEEPS,
    },
    {
      of: 'shapeOfSource: source.keeps?.for !== undefined',
      done: ['yes', 'no', 'round'],
      why: KEEPS,
    },
    { of: 'shapeOf: keepsMs > 0', done: ['yes', 'no', 'round', 'bound'], why: KEEPS },
    { of: 'shapeOf: waitMs > 0', done: ['round'], why: LETTERS },
    { of: 'shapeOfSource: source.dead !== undefined', done: ['round'], why: LETTERS },
  ),
  ...in_(
    'job/sample-result',
    { of: 'readingOf: volts.ok', done: ['yes'], why: LOADED },
    { of: 'readingOf: watts.ok', done: ['yes'], why: LOADED },
    { of: 'value: ohms?.ok', done: ['yes'], why: LOADED },
    { of: 'residual: !limit.ok', done: ['no'], why: LOADED },
    { of: 'checkedFirst: before', done: ['yes'], why: 'a checked meter has its check before' },
    {
      of: 'releaseOf: !release',
      done: ['no'],
      why: 'the loader refuses a release of a source that does not say how it is let go',
    },
    {
      of: "releaseOf: 'stated' in release",
      done: ['no'],
      why: 'what is stated was answered by whoever asks',
    },
    {
      of: 'sampleResult: state.counted < 0',
      done: ['bound'],
      why: 'a count of no sources is refused, so that none is ever kept',
    },
  ),
  ...in_(
    'job/view',
    { of: 'sourceView: proof === undefined', done: ['no'], why: LIST },
    { of: 'sourceView: proof === undefined #2', done: ['no'], why: LIST },
    { of: 'currentOf: next === undefined', done: ['no'], why: LIST },
    { of: 'currentOf: step === undefined', done: ['no'], why: LIST },
    {
      of: 'currentOf: step === at',
      done: ['no'],
      why: 'a step that is come to again ends the search one turn later',
    },
    {
      of: 'viewOf: current === undefined',
      done: ['no'],
      why: 'a view is shown and never kept: a part that is undefined is read as none',
    },
  ),
  ...in_(
    'job/plan',
    { of: 'waitOf: !c.ok', done: ['no'], why: LOADED },
    { of: 'waitOf: !r.ok', done: ['no'], why: LOADED },
    { of: 'waitOf: !v.ok', done: ['no'], why: LOADED },
    { of: 'waitOf: seconds.ok', done: ['yes'], why: LOADED },
    {
      of: 'listOf: at >= 0',
      done: ['yes'],
      why: 'the loader refuses a name that is not in the list',
    },
    {
      of: 'stepsBefore: start > 0',
      done: ['yes', 'bound'],
      why: 'before the first step there is none that stands together with it',
    },
    { of: "pointsOf: 'point' in step", done: ['yes'], why: NARROWS },
    { of: "sourcesOf: 'source' in step", done: ['yes'], why: NARROWS },
    { of: "stepOf: 'source' in step", done: ['yes'], why: ABSENT },
    { of: 'stepOf: step.source', done: ['yes'], why: ABSENT },
    { of: "stepOf: 'point' in step", done: ['yes'], why: ABSENT },
    { of: "on: step.do === 'wear'", done: ['yes'], why: ABSENT },
    { of: "off: step.do === 'wear'", done: ['yes'], why: ABSENT },
    { of: "end: 'end' in step", done: ['yes'], why: ABSENT },
    { of: "allows: step.do === 'window'", done: ['yes'], why: ABSENT },
  ),
  ...in_(
    'job/draft',
    { of: 'end: (mark & (FRESH | UNCHECKED)) !== 0', done: ['yes'], why: STANDS },
    { of: 'askAgain: last !== undefined', done: ['yes'], why: LIST },
    {
      of: 'updateWaits: cutAt.some((each, at) => each !== draft.state.cutAt[at])',
      done: ['yes'],
      why: STANDS,
    },
    { of: 'updateWaits: each !== draft.state.cutAt[at]', done: ['yes'], why: STANDS },
  ),
  ...in_(
    'job/evolve',
    { of: 'lapsed: source !== undefined', done: ['yes'], why: LIST },
    {
      of: 'lapsed: instrument !== undefined',
      done: ['yes'],
      why: 'no instrument has the name of none, which is looked up and not found',
    },
    {
      of: 'frontierOf: at < steps.length',
      done: ['yes', 'bound'],
      why: 'past the last step there is none that is settled, so that the search ends there',
    },
    { of: 'retire: !worn', done: ['no'], why: STANDS },
    {
      of: 'retire: state.people.some((person) => ((person.on | person.off) & ~useful) !== 0)',
      done: ['yes'],
      why: STANDS,
    },
    { of: 'retire: ((person.on | person.off) & ~useful) !== 0', done: ['yes'], why: STANDS },
    { of: 'retire: ((marks[step.index] ?? 0) & FRESH) === 0', done: ['no'], why: STANDS },
  ),
  ...in_(
    'job/evolve-step',
    { of: "doDisconnect: data.do === 'disconnect'", done: ['yes'], why: NARROWS },
    {
      of: 'takePlugInHand: locks.length < draft.state.locks.length',
      done: ['yes', 'bound'],
      why: STANDS,
    },
    {
      of: 'doReseat: each.step < step.index',
      done: ['bound'],
      why: 'two steps are compared of which one takes wires off and the other does not',
    },
    { of: 'stepDone: at === undefined', done: ['no'], why: LIST },
    { of: 'stepCorrected: at === undefined', done: ['no'], why: LIST },
  ),
  ...in_('job/decide-step', { of: 'findStep: at === undefined #2', done: ['no'], why: LIST }),
  ...in_(
    'job/decide',
    { of: 'openWindow: chosen === undefined', done: ['no'], why: LIST },
    { of: 'atTime: ms === 0', done: ['no'], why: STANDS },
  ),
  ...in_('job/exits', {
    of: 'blockUndeclared: step > connector.step',
    done: ['bound'],
    why: 'two steps are compared of which one takes wires off and the other does not',
  }),
  ...in_(
    'job/state',
    {
      of: 'isSettled: connector.step < step',
      done: ['bound'],
      why: 'two steps are compared of which one takes wires off and the other does not',
    },
    { of: 'isFresh: !plan', done: ['no'], why: LIST },
  ),
  ...in_(
    'job/results',
    { of: "readReading: data.do !== 'reading'", done: ['no'], why: NARROWS },
    { of: "readContacts: data.do !== 'contacts'", done: ['no'], why: NARROWS },
    { of: "readChoice: data.do !== 'choose'", done: ['no'], why: NARROWS },
    { of: 'readRelease: limit.ok', done: ['yes'], why: LOADED },
    { of: 'readRelease: limit.ok #2', done: ['yes'], why: LOADED },
    {
      of: 'readChoice: given.option === undefined',
      done: ['no'],
      why: 'no outcome has the name of none, which is looked up and not found',
    },
  ),
  ...in_('job/meter-results', { of: "readCase: data.do === 'case'", done: ['yes'], why: NARROWS }),
  ...in_('job/words', {
    of: 'fill: !parts',
    done: ['yes'],
    why: 'it only saves taking a sentence apart once more',
  }),
];
