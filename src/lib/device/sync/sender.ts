/**
 * When this device sends: after something was recorded, when the signal or the page comes back, when
 * somebody asks, and again by itself while something is left. One tab or worker sends at a time.
 */
import type { Primitives } from '#lib/core/record/index.ts';
import { wallTime } from '../clock.ts';
import type { Outbox } from './outbox.ts';
import { questionsKept } from './questions.ts';
import type { AskedQuestion } from './questions.ts';
import type { Fetch } from './server-link.ts';
import { syncOnce } from './sync.ts';
import type { SyncStatus } from './sync.ts';

/** What a screen may tell of it. */
export interface SendingState {
  /** Address of the server; null before an office has let this device in. */
  readonly server: string | null;
  /** Entries without a receipt. */
  readonly unsent: number;
  readonly busy: boolean;
  /** How the last round ended; null before the first. */
  readonly last: SyncStatus | null;
  /** When everything was last with the server, RFC 3339; null when never, or not known. */
  readonly allSentAt: string | null;
  /** What the office asks the people of this device. */
  readonly questions: readonly AskedQuestion[];
}

export interface SenderParts {
  readonly outbox: Outbox;
  readonly fetch: Fetch;
  readonly primitives: Primitives;
  /** RFC 3339. */
  readonly now: () => string;
  readonly tell: (state: SendingState) => void;
  /** Of this browser; null where it has none, as in tests. */
  readonly locks: LockManager | null;
  /** False when there is certainly no signal: then nothing is tried. Always when absent. */
  readonly signal?: () => boolean;
}

/** The wall clock of the device. */
export const wallNow = (): string => wallTime(new Date());

/** One name for the tabs and the worker of one browser. */
export const SENDING_LOCK = 'stillwire-sending';
const ALL_SENT_AT = 'all-sent-at';
/** Taps come in handfuls: one batch for all of them, and within what the server allows. */
const AFTER_TAP_MS = 3000;
const FIRST_AGAIN_MS = 15_000;
const LONGEST_AGAIN_MS = 10 * 60_000;

export const NOT_YET: SendingState = {
  server: null,
  unsent: 0,
  busy: false,
  last: null,
  allSentAt: null,
  questions: [],
};

export class Sender {
  readonly #parts: SenderParts;
  #state: SendingState = NOT_YET;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #round: Promise<void> | null = null;
  #again = FIRST_AGAIN_MS;
  #stopped = false;
  /** Something was recorded while a round was under way. */
  #more = false;

  constructor(parts: SenderParts) {
    this.#parts = parts;
  }

  get state(): SendingState {
    return this.#state;
  }

  /** Reads what is stored; sends nothing. */
  async look(): Promise<void> {
    const { outbox } = this.#parts;
    const [server, unsent, at, asked] = [
      await outbox.server(),
      await outbox.unsent(),
      await outbox.store.readSetting(ALL_SENT_AT),
      await questionsKept(outbox.store),
    ];
    this.#tell({
      server: server.ok ? (server.value?.address ?? null) : this.#state.server,
      unsent: unsent.ok ? unsent.value : this.#state.unsent,
      allSentAt: at.ok && typeof at.value === 'string' ? at.value : this.#state.allSentAt,
      questions: asked.ok ? asked.value : this.#state.questions,
    });
  }

  /** Something was recorded. */
  recorded(): void {
    void this.look();
    if (this.#round !== null) this.#more = true;
    else this.#wait(AFTER_TAP_MS);
  }

  /** Now: somebody asks, the signal is back, or the page is looked at again. */
  send(): Promise<void> {
    this.#round ??= this.#run().finally(() => {
      this.#round = null;
      if (this.#more) this.recorded();
      this.#more = false;
    });
    return this.#round;
  }

  stop(): void {
    this.#stopped = true;
    clearTimeout(this.#timer);
  }

  async #run(): Promise<void> {
    clearTimeout(this.#timer);
    await this.look();
    if (this.#state.server === null || this.#stopped) return;
    if (this.#parts.signal?.() === false) {
      this.#tell({
        last: { kind: 'waiting', unsent: this.#state.unsent, says: NO_SIGNAL, forked: [] },
      });
      return;
    }
    this.#tell({ busy: true });
    const status = await roundAlone(this.#parts).finally(() => this.#tell({ busy: false }));
    // Another tab sends, or the worker does: what it achieved is looked at a little later.
    if (status === null) return this.#wait(FIRST_AGAIN_MS);
    this.#tell({ last: status, unsent: status.unsent });
    await this.look();
    if (status.kind === 'sent') {
      this.#again = FIRST_AGAIN_MS;
      return;
    }
    if (status.kind === 'alarm' || status.kind === 'alone') return;
    this.#wait(Math.max(this.#again, (status.wait ?? 0) * 1000));
    this.#again = Math.min(this.#again * 2, LONGEST_AGAIN_MS);
  }

  #wait(ms: number): void {
    if (this.#stopped) return;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.send(), ms);
  }

  #tell(change: Partial<SendingState>): void {
    this.#state = { ...this.#state, ...change };
    if (!this.#stopped) this.#parts.tell(this.#state);
  }
}

const NO_SIGNAL = 'There is no signal. The work goes on without it.';

/** One round as the only sender of this browser; null when another one is at it. */
export async function roundAlone(
  parts: Pick<SenderParts, 'outbox' | 'fetch' | 'primitives' | 'now' | 'locks'>,
): Promise<SyncStatus | null> {
  const { outbox, fetch, primitives, now, locks } = parts;
  const round = async () => {
    const status = await syncOnce(outbox, fetch, primitives);
    if (status.kind === 'sent') await outbox.store.saveSetting(ALL_SENT_AT, now());
    return status;
  };
  if (locks === null) return round();
  return locks.request(SENDING_LOCK, { ifAvailable: true }, (lock) =>
    lock === null ? null : round(),
  );
}
