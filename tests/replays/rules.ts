/**
 * Rules that a replay names where no standing interlock is in the way: how a result is read, and how a
 * job may be left. Each is a line of the engine; a replay is run again on an engine without it.
 */
import type { Rule } from '../support/edited-engine.ts';

export const NO_WINDOW: Rule = {
  rule: 'a live window only where the checklist has one',
  file: 'decide.ts',
  from: "    block(turn, 'barred', 'windowBarred', { source: label });\n",
  to: "    emit(turn, 'window.opened', { step: label, source: command.source, reason: '', readBack: '', minutes: 3 });\n",
};

export const AT_THE_DOOR: Rule = {
  rule: 'who opens the job is authorized for it',
  file: 'decide-open.ts',
  from: 'if (lead && missing.length > 0)',
  to: 'if (lead && missing.length > 99)',
};

export const CASE_VOLTS: Rule = {
  rule: 'a case that reads live is live',
  file: 'meter-results.ts',
  from: 'if (volts === undefined || Math.abs(volts.si) < CASE_PASS_VOLTS) continue;',
  to: 'continue;',
};

export const ISOLATORS_ONLY: Rule = {
  rule: 'a control is no isolating device',
  file: 'results.ts',
  from: "  if (kind === undefined) block(ask, 'control-not-isolator', 'controlNotIsolator', args);\n  else if (kind !== point.by) block(ask, 'control-not-isolator', 'operatedOther', args);\n",
  to: '',
};

export const EVERY_PAIR: Rule = {
  rule: 'every pair is read',
  file: 'meter-results.ts',
  from: "if (!Object.hasOwn(pairs, pair)) block(ask, 'not-dead', 'pairMissing', { pair });",
  to: '',
};

export const DEAD_VOLTS: Rule = {
  rule: 'a pair that reads live is not dead',
  file: 'meter-results.ts',
  from: 'if (volts === undefined || Math.abs(volts.si) < below) continue;',
  to: 'continue;',
};

export const BOTH_CHECKS: Rule = {
  rule: 'the meter is checked before and after',
  file: 'meter-results.ts',
  from: "  which: 'meterBefore' | 'meterAfter',\n): boolean {\n",
  to: "  which: 'meterBefore' | 'meterAfter',\n): boolean {\n  return true;\n",
};

export const REAL_LOCK: Rule = {
  rule: 'tape and a tag are no lock',
  file: 'results.ts',
  from: "    block(ask, 'tag-not-enough', 'tagNotEnough', { lock: number === '' ? 'A tag alone' : number });\n",
  to: '',
};

export const INSULATED: Rule = {
  rule: 'what is left open is insulated',
  file: 'exits.ts',
  from: 'if (!connector.open || declared(connector.id)) continue;',
  to: 'continue;',
};

export const NOT_THE_LAST: Rule = {
  rule: 'the last one does not simply leave',
  file: 'decide-people.ts',
  from: "  if (person?.present && presentCount(state) < 2) block(turn, 'park-incomplete', 'leaveLast');\n",
  to: '',
};

export const PARKED_CUT: Rule = {
  rule: 'parked shut is cut at every point',
  file: 'exits.ts',
  from: 'if (state.points[at] === OPEN) continue;',
  to: 'continue;',
};

export const ALL_SAY_CLEAR: Rule = {
  rule: 'everybody here says clear',
  file: 'results.ts',
  from: 'if (person.present && !said.includes(person.id)) {',
  to: 'if (person.id === undefined) {',
};

export const RESIDUAL: Rule = {
  rule: 'what is left is below the limit',
  file: 'results.ts',
  from: "    block(ask, 'stored', 'residual', args);\n",
  to: '    void args;\n',
};

export const NAMED_LOCK: Rule = {
  rule: 'a lock that is named is one of your own',
  file: 'results.ts',
  from: "if (other) block(ask, 'lock-owner', 'removeHere', { person: other.owner });",
  to: 'if (other) return {};',
};
