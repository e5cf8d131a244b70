/** Sending as the pages of this tab see it: one sender, started once, woken by what happens here. */
import type { SendingNews } from '#lib/ui/SendingLine.svelte';
import type { Outbox } from '#lib/device/sync/outbox.ts';
import type { Sender, SendingState } from '#lib/device/sync/sender.ts';
import { base } from '$app/paths';
import { theseRecords } from './this-device.ts';

class SendingDesk {
  #state: SendingState | undefined = $state.raw();
  #ahead: number | undefined = $state();
  /** Whether the browser sends while no page is open; undefined while that is not known. */
  background: boolean | undefined = $state();
  sender: Sender | undefined = $state.raw();
  outbox: Outbox | undefined = $state.raw();

  get state(): SendingState | undefined {
    return this.#state;
  }

  /** Seconds that the clock of this device is ahead of the office's, as the last round that could ask found. */
  get ahead(): number | undefined {
    return this.#ahead;
  }

  get news(): SendingNews | undefined {
    const state = this.#state;
    if (state === undefined) return undefined;
    const { server, unsent, busy, last } = state;
    const asked = state.questions.filter(({ answering }) => answering === null).length;
    const news = { known: server !== null, unsent, busy, asked };
    const look = last?.kind === 'refused' || last?.kind === 'alarm' ? last.kind : undefined;
    return look === undefined ? news : { ...news, look };
  }

  /** Starts sending; returns how to stop. */
  start(): () => void {
    let stop = () => {};
    let here = true;
    void this.#begin().then((stopping) => {
      stop = stopping;
      if (!here) stop();
    });
    return () => {
      here = false;
      stop();
    };
  }

  async #begin(): Promise<() => void> {
    const records = await theseRecords();
    if (!records.ok) return () => {};
    // What is sent waits for what is shown.
    await idle();
    const [{ DeviceStore }, { Sender, wallNow }, { Outbox }, { webPrimitives }] = await Promise.all(
      [
        import('#lib/device/store.ts'),
        import('#lib/device/sync/sender.ts'),
        import('#lib/device/sync/outbox.ts'),
        import('#lib/crypto/web.ts'),
      ],
    );
    const outbox = new Outbox(new DeviceStore(records.value.connection));
    const sender = new Sender({
      outbox,
      fetch: (address, init) => fetch(address, init),
      primitives: webPrimitives,
      now: wallNow,
      tell: (state) => {
        this.#state = state;
        const clock = state.last?.clock;
        if (clock !== undefined) this.#ahead = Math.trunc(clock.ahead / 1000);
      },
      locks: navigator.locks ?? null,
      signal: () => navigator.onLine,
    });
    this.outbox = outbox;
    this.sender = sender;
    const wake = () => void sender.send();
    const seen = () => {
      if (document.visibilityState === 'visible') wake();
      else if (this.#left()) void this.askBackground();
    };
    const stopNews = records.value.onJobs(() => sender.recorded());
    addEventListener('online', wake);
    document.addEventListener('visibilitychange', seen);
    wake();
    return () => {
      sender.stop();
      stopNews();
      removeEventListener('online', wake);
      document.removeEventListener('visibilitychange', seen);
    };
  }

  /** Lets the worker send what is left once no page is open, where the browser has such a thing. */
  async askBackground(): Promise<void> {
    const { askForBackground } = await import('#lib/device/sync/background.ts');
    this.background = await askForBackground();
  }

  #left(): boolean {
    const state = this.#state;
    return state !== undefined && state.server !== null && state.unsent > 0;
  }
}

/** Resolves when the page has nothing else to do, or after two seconds. */
function idle(): Promise<void> {
  return new Promise((resolve) => {
    if (typeof requestIdleCallback === 'undefined') setTimeout(resolve, 200);
    else requestIdleCallback(() => resolve(), { timeout: 2000 });
  });
}

/** Where the office of this app is: the server that the app itself came from. */
export function ownServer(): string {
  return `${location.origin}${base}`;
}

/** The one of this page. */
export const sendingDesk = new SendingDesk();
