/** Joining by a code on this device: the code that is shown, the answer to it, and the entry made of both. */
import { resolve } from '$app/paths';
import { spacedJoinCode } from '#lib/core/record/index.ts';
import type { Connection } from '#lib/device/connection.ts';
import {
  checkAnswer,
  endInvitation,
  hearAnswers,
  invite,
  shownFor,
  waitingAnswer,
} from '#lib/device/joining.ts';
import type { Answered, AnswerRefused, Shown } from '#lib/device/joining.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import type { Result } from '#lib/device/trouble.ts';
import type { Codes, ShownCode } from '#lib/ui/job/codes.ts';
import * as m from '#lib/ui/paraglide/messages.js';

const refused: Readonly<Record<AnswerRefused, () => string>> = {
  unreadable: m.join_why_unreadable,
  other: m.join_why_other,
  used: m.join_why_used,
  late: m.join_why_late,
  signature: m.join_why_signature,
};

/** Makes the key of who was answered open with their PIN, and has them join; says why not. */
export type Enter = (answered: Answered, pin: string) => Promise<string | undefined>;

export class CodeJoining implements Codes {
  readonly #connection: Connection;
  readonly #session: JobSession;
  readonly #enter: Enter;
  #shown: Shown | undefined = $state.raw();
  #answered: Answered | undefined = $state.raw();
  #says: string | undefined = $state();
  #busy: boolean = $state(false);
  readonly #over: boolean;

  constructor(connection: Connection, session: JobSession, enter: Enter) {
    this.#connection = connection;
    this.#session = session;
    this.#enter = enter;
    this.#over = $derived(
      this.#shown !== undefined && Date.parse(this.#shown.until) < Date.parse(session.now.at),
    );
  }

  get shown(): ShownCode | undefined {
    if (this.#shown === undefined) return undefined;
    const code = spacedJoinCode(this.#shown.code);
    const typedAt = location.origin + resolve('/jobs/join');
    return { code, typedAt, address: `${typedAt}#code=${code}`, until: this.#shown.until };
  }
  get over(): boolean {
    return this.#over;
  }
  get joiner(): Answered['joiner'] | undefined {
    return this.#answered?.joiner;
  }
  get says(): string | undefined {
    return this.#says;
  }
  get busy(): boolean {
    return this.#busy;
  }

  /** Hears of answers that another page of this device leaves; returns how to stop. */
  listen(): () => void {
    void this.#look();
    return hearAnswers(this.#session.job, () => void this.#look());
  }

  async #look(): Promise<void> {
    const waiting = await waitingAnswer(this.#connection, this.#session.job);
    if (waiting.ok && waiting.value !== null) await this.take(waiting.value);
  }

  show = async (fresh = false): Promise<void> => {
    if (this.#busy) return;
    this.#busy = true;
    const { job } = this.#session;
    const now = Date.now();
    const standing = fresh ? null : this.#said(await shownFor(this.#connection, job, now));
    const shown = standing ?? this.#said(await invite(this.#connection, job, now));
    if (shown !== null) {
      this.#shown = shown;
      if (fresh) {
        this.#says = undefined;
        this.#answered = undefined;
      }
    }
    this.#busy = false;
  };

  take = async (said: string): Promise<void> => {
    const { entries, job } = this.#session;
    const now = Date.now();
    const checked = this.#said(await checkAnswer(this.#connection, job, said, { entries, now }));
    if (checked === null) return;
    const taken = typeof checked === 'string' ? undefined : checked;
    this.#answered = taken;
    this.#says = typeof checked === 'string' ? refused[checked]() : undefined;
  };

  join = async (pin: string): Promise<boolean> => {
    const answered = this.#answered;
    if (answered === undefined || this.#busy) return false;
    this.#busy = true;
    this.#says = await this.#enter(answered, pin);
    const joined = this.#says === undefined;
    if (joined) {
      await endInvitation(this.#connection, this.#session.job);
      this.#answered = undefined;
      this.#shown = undefined;
    }
    this.#busy = false;
    return joined;
  };

  #said<T>(result: Result<T>): T | null {
    if (result.ok) return result.value;
    this.#says = result.trouble.says;
    return null;
  }
}
