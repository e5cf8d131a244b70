/** On the device of whoever joins: the code is signed here. On that of the job: the answer is left for it. */
import { resolve } from '$app/paths';
import { plainJoinCode, spacedJoinCode } from '#lib/core/record/index.ts';
import type { DevicePerson } from '#lib/device/device.ts';
import { answerCode, leaveAnswer, readAnswer, tellAnswer } from '#lib/device/joining.ts';
import * as m from '#lib/ui/paraglide/messages.js';
import { idEverywhere } from '../ids.ts';
import { thisDevice } from '../../this-device.ts';

export class JoinOther {
  code: string = $state('');
  /** Who has a key here that no PIN has to open. */
  people: readonly DevicePerson[] = $state.raw([]);
  says: string | undefined = $state();
  busy: boolean = $state(false);
  copied: boolean = $state(false);
  /** What goes back to the device of the job. */
  answer: { readonly name: string; readonly address: string } | undefined = $state.raw();
  /** An answer that was opened here, and the job that it is for; null when none here shows its code. */
  brought: { readonly job: string | null; readonly name: string } | undefined = $state.raw();

  async meet(): Promise<void> {
    const device = await thisDevice();
    const people = device.ok ? await device.value.people() : device;
    if (!people.ok) this.says = people.trouble.says;
    else this.people = people.value.filter(({ key }) => key !== undefined && !key.pin);
  }

  /** What the square code of one device brings to the other. */
  async arrive(hash: string): Promise<void> {
    this.says = undefined;
    this.answer = undefined;
    this.brought = undefined;
    if (!hash.startsWith('#answer=')) {
      const typed = /^#code=([0-9A-Za-z-]{1,40})$/.exec(hash)?.[1] ?? '';
      const code = plainJoinCode(typed);
      this.code = code === null ? typed : spacedJoinCode(code);
      if (code === null) this.says = m.joining_bad_code();
      return;
    }
    const device = await thisDevice();
    const left = device.ok ? await leaveAnswer(device.value.connection, hash) : device;
    if (!left.ok) {
      this.says = left.trouble.says;
      return;
    }
    if (left.value !== null) tellAnswer(left.value);
    this.brought = { job: left.value, name: readAnswer(hash)?.name ?? '' };
  }

  /** @param person whom this device knows; else somebody new gets a key here */
  async sign(name: string, person?: DevicePerson): Promise<void> {
    const code = plainJoinCode(this.code);
    if (code === null) this.says = m.joining_bad_code();
    if (code === null || this.busy) return;
    this.busy = true;
    this.says = await this.#sign(code, name, person);
    this.busy = false;
  }

  async #sign(code: string, name: string, known?: DevicePerson): Promise<string | undefined> {
    const device = await thisDevice();
    if (!device.ok) return device.trouble.says;
    const { id, competence } = known ?? { id: idEverywhere(name), competence: [] };
    const enrolled = await device.value.enrol({ id, name, competence }, id);
    if (!enrolled.ok) return enrolled.trouble.says;
    const answer = await answerCode(device.value.connection, { id, name, competence }, code);
    if (!answer.ok) return answer.trouble.says;
    const address = `${location.origin}${resolve('/jobs/join')}#answer=${answer.value}`;
    this.answer = { name, address };
    this.copied = false;
    await this.meet();
    return undefined;
  }

  async copy(): Promise<void> {
    if (this.answer === undefined) return;
    try {
      await navigator.clipboard.writeText(this.answer.address);
      this.copied = true;
    } catch {
      this.says = m.joining_not_copied();
    }
  }
}
