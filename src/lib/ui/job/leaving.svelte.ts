/** Leaving a job: what is said of it before it is parked, refused or held. */
import { SvelteMap } from 'svelte/reactivity';
import type { Order } from '#lib/core/job/commands.ts';
import type { LeftOpen } from '#lib/core/job/events.ts';
import type { OpenEndView } from '#lib/core/job/view-types.ts';
import type { Desk } from '../desk.ts';
import { Sending } from '../forms/sending.svelte.ts';

export type Way = 'usable' | 'shut' | 'refuse' | 'evidenceHold';

export class Leaving {
  way = $state<Way | undefined>();
  told = $state('');
  owner = $state('');
  until = $state('');
  lock = $state('');
  why = $state('');
  readonly sending: Sending;
  #desk: Desk;
  /** Why an end stays open, by its id; only what is insulated and covered may. */
  #left = new SvelteMap<string, string>();

  constructor(desk: Desk) {
    this.#desk = desk;
    this.sending = new Sending(desk);
  }

  get ends(): readonly OpenEndView[] {
    return this.#desk.view.openEnds;
  }

  isLeft(end: string): boolean {
    return this.#left.has(end);
  }

  whyLeft(end: string): string {
    return this.#left.get(end) ?? '';
  }

  leave(end: string, why: string): void {
    this.#left.set(end, why);
  }

  keep(end: string): void {
    this.#left.delete(end);
  }

  /** The whole list of what still stands against this way. */
  get refusals() {
    const { exits } = this.#desk.view;
    switch (this.way) {
      case 'usable':
        return exits.parkUsable;
      case 'shut':
        return exits.parkShut;
      case 'refuse':
        return exits.refuse;
      case 'evidenceHold':
        return exits.evidenceHold;
      case undefined:
        return [];
    }
  }

  send(): Promise<boolean> {
    const order = this.#order();
    return order === undefined ? Promise.resolve(false) : this.sending.send(order);
  }

  #order(): Order | undefined {
    const left: LeftOpen[] = [...this.#left].map(([end, why]) => ({ end, insulated: true, why }));
    const { told, owner, until, why } = this;
    switch (this.way) {
      case 'usable':
        return { command: 'park', as: 'usable', told, owner, until, left: [] };
      case 'shut': {
        const lock = this.lock.trim();
        return { command: 'park', as: 'shut', told, owner, until, left, ...(lock ? { lock } : {}) };
      }
      case 'refuse':
        return { command: 'refuse', why, left };
      case 'evidenceHold':
        return { command: 'evidenceHold', why };
      case undefined:
        return undefined;
    }
  }
}
