/**
 * One writer for each job, over all tabs and windows of this browser.
 *
 * The lock only keeps two people from working past each other; what keeps the record whole is that the
 * head is compared inside every writing transaction. So a lock may be taken over from a tab that is
 * frozen or forgotten without any risk to the record.
 */

/** `writing`: here. `elsewhere`: in another tab. `takenOver`: it was here, and another tab took it. */
export type WriterState = 'writing' | 'elsewhere' | 'takenOver';

export interface Writer {
  readonly state: WriterState;
  /** Takes the job from the tab that holds it. */
  takeOver(): Promise<void>;
  /** Lets go; another tab that waits gets it. */
  release(): void;
}

/**
 * Asks for a job. Answers at once: a lock that is not free is `elsewhere`, and is waited for behind the
 * scenes. `changed` is called when the state changes later.
 */
export async function claimWriter(
  job: string,
  changed: (state: WriterState) => void,
  locks: LockManager | undefined = globalThis.navigator?.locks,
): Promise<Writer> {
  const claim = new Claim(`stillwire-job-${job}`, changed, locks);
  await claim.begin();
  return claim;
}

class Claim implements Writer {
  state: WriterState = 'elsewhere';
  readonly #name: string;
  readonly #changed: (state: WriterState) => void;
  readonly #locks: LockManager | undefined;
  #letGo: () => void = () => {};
  #waiting: AbortController | null = null;
  #released = false;

  constructor(name: string, changed: (state: WriterState) => void, locks: LockManager | undefined) {
    this.#name = name;
    this.#changed = changed;
    this.#locks = locks;
  }

  async begin(): Promise<void> {
    // Without locks the comparison of heads is the only guard, and enough for the record.
    if (this.#locks === undefined) this.state = 'writing';
    else if (!(await this.#request({ ifAvailable: true }))) this.#queue();
  }

  async takeOver(): Promise<void> {
    if (this.state === 'writing' || this.#released) return;
    this.#waiting?.abort();
    this.#waiting = null;
    await this.#request({ steal: true });
  }

  release(): void {
    this.#released = true;
    this.#waiting?.abort();
    this.#letGo();
  }

  /** Resolves once the lock is granted (true) or found taken (false); holds it until let go. */
  #request(options: LockOptions): Promise<boolean> {
    return new Promise((answer) => {
      const held = this.#locks?.request(this.#name, options, (lock) => {
        if (lock === null || this.#released) {
          answer(false);
          return;
        }
        this.#become('writing');
        answer(true);
        return new Promise<void>((resolve) => (this.#letGo = resolve));
      });
      held?.catch(() => {
        answer(false);
        if (this.state === 'writing' && !this.#released) {
          this.#become('takenOver');
          this.#queue();
        }
      });
    });
  }

  /** Waits in line, so that the job comes here by itself when the other tab closes. */
  #queue(): void {
    this.#waiting = new AbortController();
    void this.#request({ signal: this.#waiting.signal });
  }

  #become(state: WriterState): void {
    if (this.state === state) return;
    this.state = state;
    this.#changed(state);
  }
}

/** News between tabs that a job has grown. */
export interface News {
  tell(job: string): void;
  stop(): void;
}

export function listenForNews(heard: (job: string) => void): News {
  if (typeof BroadcastChannel === 'undefined') return { tell: () => {}, stop: () => {} };
  const channel = new BroadcastChannel('stillwire-jobs');
  channel.onmessage = (message: MessageEvent<unknown>) => {
    if (typeof message.data === 'string') heard(message.data);
  };
  return { tell: (job) => channel.postMessage(job), stop: () => channel.close() };
}
