/** The proof of a draft while it is typed: one worker at a time, the older one stopped. */
import { startProofWorker } from './start-proof-worker.ts';
import type { ProofAsked, ProofFound, ProofSaid } from './proof-work.ts';

/** Bounds of what is walked at every pause in typing. */
const BOUNDS = { states: 30_000, seconds: 20 };
/** A pause in typing, in milliseconds. */
const PAUSE = 500;

export class Proof {
  /** States walked so far, while it runs. */
  walking: number | undefined = $state();
  found: ProofFound | undefined = $state.raw();
  #worker: Worker | undefined;
  #pause: ReturnType<typeof setTimeout> | undefined;

  /** Looks at this text once nothing more was typed for a moment. */
  ask(text: string): void {
    this.stop();
    this.walking = 0;
    this.#pause = setTimeout(() => this.#start(text), PAUSE);
  }

  stop(): void {
    clearTimeout(this.#pause);
    this.#worker?.terminate();
    this.#worker = undefined;
    this.walking = undefined;
    this.found = undefined;
  }

  #start(text: string): void {
    const worker = startProofWorker();
    this.#worker = worker;
    worker.addEventListener('message', ({ data }: MessageEvent<ProofSaid>) => {
      if (worker !== this.#worker) return;
      if (data.kind === 'walking') {
        this.walking = data.states;
        return;
      }
      this.walking = undefined;
      if (data.kind === 'found') this.found = data.found;
      worker.terminate();
    });
    worker.postMessage({ text, ...BOUNDS } satisfies ProofAsked);
  }
}
