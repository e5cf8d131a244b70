/** A trace of commands as a story: one sentence for each act. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { Command } from '#lib/core/job/commands.ts';
import * as m from '../paraglide/messages.js';

/** `ana` is Ana; the people of a trace are made up. */
export function nameInStory(person: string): string {
  return person.charAt(0).toUpperCase() + person.slice(1);
}

export function actSays(command: Command, checklist: Checklist): string {
  const who = nameInStory(command.by);
  const sayOf = (id: string) => checklist.steps.find((step) => step.id === id)?.say ?? id;
  switch (command.command) {
    case 'open':
      return m.story_open({ who });
    case 'do': {
      const step = checklist.steps.find(({ id }) => id === command.step);
      const { option, connector } = command.result;
      if (step?.do === 'choose' && option !== undefined) {
        return m.story_choose({ who, says: step.say, option: step.options[option] ?? option });
      }
      if (connector !== undefined) return m.story_reseat({ who, connector });
      return m.story_do({ who, step: command.step, says: sayOf(command.step) });
    }
    case 'notDone':
      return m.story_not_done({ who, step: command.step });
    case 'window':
      return m.story_window({ who });
    case 'endWindow':
      return m.story_end_window({ who });
    case 'close':
      return m.story_close({ who });
    default:
      return m.story_other({ who, what: command.command });
  }
}
