/** One order on its way: being written, refused, or not stored. */
import type { Order } from '#lib/core/job/commands.ts';
import type { StepResult } from '#lib/core/job/events.ts';
import type { Refusal } from '#lib/core/job/refusal.ts';
import type { Desk } from '../desk.ts';

export class Sending {
  busy = $state(false);
  refusals = $state.raw<readonly Refusal[]>([]);
  trouble = $state<string | undefined>();
  #desk: Desk;

  constructor(desk: Desk) {
    this.#desk = desk;
  }

  /** True when it was accepted and stored. What was entered stays on the screen otherwise. */
  async send(order: Order, by?: string): Promise<boolean> {
    if (this.busy) return false;
    this.busy = true;
    this.refusals = [];
    this.trouble = undefined;
    try {
      const answer = await this.#desk.submit(order, by);
      this.refusals = answer.refusals;
      this.trouble = answer.trouble?.says;
      return answer.accepted && answer.trouble === undefined;
    } finally {
      this.busy = false;
    }
  }

  /** Does a step, then shows what is due next. */
  async done(step: string, result: StepResult): Promise<boolean> {
    // A refusal may end other facts, and what is due then changes: its reasons stay in sight here.
    this.#desk.goTo(step);
    const taken = await this.send({ command: 'do', step, result });
    if (taken) this.#desk.goTo();
    return taken;
  }
}
