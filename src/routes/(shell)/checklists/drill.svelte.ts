/** Commands played on a draft in memory, act by act: a counterexample, or an accident. Nothing is kept. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import type { Refusal } from '#lib/core/job/refusal.ts';
import { initialState, type JobState } from '#lib/core/job/state.ts';
import { viewOf } from '#lib/core/job/view.ts';
import type { JobView } from '#lib/core/job/view-types.ts';
import { actSays, nameInStory } from '#lib/ui/editor/story-words.ts';
import { refusalSays } from '#lib/ui/words/of-refusals.ts';

interface Played {
  readonly command: Command;
  readonly state: JobState;
  readonly refusals: readonly Refusal[];
}

export class Drill {
  readonly checklist: Checklist;
  readonly #played: readonly Played[];
  at = $state(0);
  readonly view: JobView = $derived.by(() => this.#viewAt(this.at));
  /** The acts in the reader's language, each with what was said against it. */
  readonly acts = $derived.by(() =>
    this.#played.map(({ command, refusals }) => ({
      says: actSays(command, this.checklist),
      refused: this.#says(refusals),
    })),
  );
  readonly due = $derived.by(() => {
    const { current } = this.view;
    if (current === undefined) return undefined;
    const says = this.checklist.steps[current.index]?.say ?? current.id;
    return { step: current.id, says, waits: this.#says(current.refusals) };
  });

  constructor(checklist: Checklist, commands: readonly Command[]) {
    this.checklist = checklist;
    let state = initialState(planOf(checklist), 'drill');
    this.#played = commands.map((command) => {
      const decided = decide(state, command);
      state = decided.events.reduce(evolve, state);
      return { command, state, refusals: decided.refusals };
    });
  }

  toEnd(): this {
    this.at = Math.max(0, this.#played.length - 1);
    return this;
  }

  #viewAt(at: number): JobView {
    const played = this.#played[at];
    if (played === undefined) throw new Error('A drill has at least one act.');
    const { at: wall, mono, boot, by } = played.command;
    return viewOf(played.state, { at: wall, mono, boot }, by);
  }

  #says(refusals: readonly Refusal[]): readonly string[] {
    const words = {
      checklist: this.checklist,
      nameOf: nameInStory,
      inWords: (text: string) => text,
    };
    const said = refusals.map((refusal) => refusalSays(refusal, words));
    return said.filter((each, at) => said.indexOf(each) === at);
  }
}
