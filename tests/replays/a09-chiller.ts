import { EVERY_PAIR, ISOLATORS_ONLY } from './rules.ts';
import { DEAD, does, deadOver, opens, type Replay } from './replay.ts';

const arrived = [opens('ruth'), does('ruth', 'count', { sources: 1 })];
const off = (operated: string) => does('ruth', 'off', { operated });

export const A09: Replay = {
  id: 'A09',
  report: 'OSHA news release, chiller of a school, August 2022',
  happened:
    'An apprentice cleaned a chiller whose fan had been stopped through the building system; the ' +
    'control switch was neither locked nor tagged. It was the second death at the firm in about ' +
    'a year.',
  checklist: 'school-chiller',
  attempts: [
    {
      tries: 'call it isolated because the building system stopped it',
      rules: [ISOLATORS_ONLY],
      given: arrived,
      attempt: off('building control command'),
      refused: 'control-not-isolator',
      opens: { never: [off('disconnect'), does('ruth', 'lock', { lock: 'R-2' })] },
    },
    {
      tries: 'take the guard off with the disconnect open but not locked',
      given: [...arrived, off('disconnect')],
      attempt: does('ruth', 'guard-off'),
      refused: 'not-dead',
      opens: [does('ruth', 'lock', { lock: 'R-2' }), does('ruth', 'dead', DEAD)],
      gates: ['dead', 'order'],
      breaks: ['P1', 'P8'],
    },
    {
      tries: 'prove it dead over one pair only',
      rules: [EVERY_PAIR],
      breaks: ['P6'],
      given: [...arrived, off('disconnect'), does('ruth', 'lock', { lock: 'R-2' })],
      attempt: does('ruth', 'dead', deadOver('L-N')),
      refused: 'not-dead',
      opens: { never: [does('ruth', 'dead', DEAD)] },
    },
  ],
};
