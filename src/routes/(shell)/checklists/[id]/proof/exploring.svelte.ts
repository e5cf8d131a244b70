/** One checklist being explored on this device: one worker at a time, ended by a stop or by leaving. */
import { startExploreWorker } from './start-explore-worker.ts';
import type { ExploreAsked, ExploreFound, ExploreSaid, GateFor } from './exploring-work.ts';

/** As many states as a phone holds with the rest of the page. */
const MOST_STATES = 1_000_000;

export class Exploring {
  /** States found so far, while it runs. */
  walking: number | undefined = $state();
  seconds = $state(0);
  found: ExploreFound | undefined = $state.raw();
  gates: readonly GateFor[] = $state.raw([]);
  lapses: readonly GateFor[] = $state.raw([]);
  unreadable = $state(false);
  trouble: string | undefined = $state();
  readonly #text: string;
  #worker: Worker | undefined;
  #began = 0;

  constructor(text: string) {
    this.#text = text;
  }

  /** Says what the gates are for, without walking anything. */
  look(): void {
    this.#ask(0);
  }

  start(): void {
    this.found = undefined;
    this.walking = 0;
    this.seconds = 0;
    this.#began = performance.now();
    this.#ask(MOST_STATES);
  }

  stop(): void {
    this.#worker?.terminate();
    this.#worker = undefined;
    this.walking = undefined;
  }

  #ask(states: number): void {
    this.#worker?.terminate();
    this.trouble = undefined;
    const worker = startExploreWorker();
    this.#worker = worker;
    worker.addEventListener('message', ({ data }: MessageEvent<ExploreSaid>) => {
      if (worker === this.#worker) this.#hear(data);
    });
    worker.addEventListener('error', (event) => {
      if (worker !== this.#worker) return;
      this.stop();
      this.trouble = event.message || 'worker';
    });
    worker.postMessage({ text: this.#text, states } satisfies ExploreAsked);
  }

  #hear(said: ExploreSaid): void {
    if (said.kind === 'walking') {
      this.walking = said.states;
      this.seconds = Math.round((performance.now() - this.#began) / 1000);
      return;
    }
    if (said.kind === 'gates') {
      this.gates = said.gates;
      this.lapses = said.lapses;
      return;
    }
    if (said.kind === 'unreadable') this.unreadable = true;
    else this.found = said.found;
    this.stop();
  }
}
