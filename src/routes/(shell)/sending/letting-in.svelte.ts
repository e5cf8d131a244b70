/** A device on its way into an office: the code, whom it lets in, and then their keys. */
import { enrolAtServer, meaningOfCode } from '#lib/device/sync/enrol.ts';
import type { CodeMeaning } from '#lib/device/sync/server-link.ts';
import type { Outbox } from '#lib/device/sync/outbox.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { ownServer } from '../sending-desk.svelte.ts';
import { thisDevice } from '../this-device.ts';

export interface Candidate {
  readonly id: string;
  readonly name: string;
  /** `here`: has a key; `new`: gets one now; `extra`: unknown to the office and may come; `left`: may not. */
  readonly kind: 'here' | 'new' | 'extra' | 'left';
}

const ask: typeof fetch = (address, init) => fetch(address, init);

export class LettingIn {
  code: string = $state('');
  meaning: CodeMeaning | undefined = $state.raw();
  candidates: readonly Candidate[] = $state.raw([]);
  trouble: string | undefined = $state();
  busy: boolean = $state(false);

  /** Asks what the code is for; nothing is changed yet. */
  look(): Promise<void> {
    return this.#work(async () => {
      this.meaning = undefined;
      const meaning = await meaningOfCode(ownServer(), this.code, ask);
      if (!meaning.ok) return meaning.trouble.says;
      const device = await thisDevice();
      const people = device.ok ? await device.value.people() : device;
      if (!people.ok) return people.trouble.says;
      const jobs = device.ok ? await device.value.store.listJobs() : device;
      if (!jobs.ok) return jobs.trouble.says;
      // Somebody who only ever took part in demonstrations has nothing to send.
      const real = jobs.value.filter((job) => !job.demo).map((job) => job.openedBy);
      const { people: named, newcomers } = meaning.value;
      this.candidates = [
        ...named.map((one): Candidate => {
          const has = people.value.some(({ id, key }) => id === one.id && key !== undefined);
          return { ...one, kind: has ? 'here' : 'new' };
        }),
        ...people.value
          .filter(({ id }) => real.includes(id) && !named.some((one) => one.id === id))
          .map(({ id, name }): Candidate => ({ id, name, kind: newcomers ? 'extra' : 'left' })),
      ];
      this.meaning = meaning.value;
      return undefined;
    });
  }

  /** Makes the keys that are missing, and enrols them all; answers whether that was done. */
  async letIn(outbox: Outbox): Promise<boolean> {
    await this.#work(async () => {
      const device = await thisDevice();
      if (!device.ok) return device.trouble.says;
      const coming = this.candidates.filter(({ kind }) => kind !== 'left');
      for (const { id, name } of coming.filter(({ kind }) => kind === 'new')) {
        const made = await device.value.enrol({ id, name, competence: [] }, id);
        if (!made.ok) return made.trouble.says;
      }
      const people = coming.map(({ id }) => id);
      const asked = { address: ownServer(), code: this.code, people };
      const enrolled = await enrolAtServer(asked, outbox, ask, webPrimitives);
      if (!enrolled.ok) return enrolled.trouble.says;
      this.code = '';
      this.meaning = undefined;
      return undefined;
    });
    return this.trouble === undefined;
  }

  async #work(work: () => Promise<string | undefined>): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    try {
      this.trouble = await work();
    } finally {
      this.busy = false;
    }
  }
}
