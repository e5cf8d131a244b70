/**
 * Down tools and “someone is hurt” on every screen: what they act on, and whether the screen at hand
 * has keys of its own for them.
 */
import { untrack } from 'svelte';
import type { Desk } from './desk.ts';

/** A job that can be stopped from a screen that is not its own. */
export interface StopJob {
  readonly id: string;
  /** The place of it, or its list while the place is not kept here. */
  readonly name: string;
  readonly site?: string;
  /** False when it is stopped, parked or over: then there is nothing left to stop. */
  readonly atWork: boolean;
  /** Puts the tools down in the record; a sentence when that was not stored. */
  stop(why: string): Promise<string | undefined>;
}

/** What the keys of the shell know when they are pressed. */
export interface StopsKnow {
  /** Jobs that are not over, the one that was touched last first. */
  readonly jobs: readonly StopJob[];
  /** The place that was entered last on this device, perhaps long ago. */
  readonly lastPlace?: string;
}

export type Stop = 'down' | 'hurt';

type Open = (which: Stop) => void;

class Stops {
  /** The job of the pages at hand. */
  desk: Desk | undefined = $state.raw();
  #own = $state(0);
  /** How the sheet behind a key is laid: by the shell, and by the screens that have the keys themselves. */
  #shell: Open | undefined;
  #screens: Open[] = [];

  /** Whether the screen has the keys itself. */
  get own(): boolean {
    return this.#own > 0;
  }

  /** For a screen that has them; returns how to say that it is gone. */
  onScreen(open: Open): () => void {
    this.#screens.push(open);
    this.#add(1);
    return () => {
      this.#screens = this.#screens.filter((each) => each !== open);
      this.#add(-1);
    };
  }

  /** For the shell, which has them wherever no screen has. */
  onShell(open: Open): () => void {
    this.#shell = open;
    return () => (this.#shell = undefined);
  }

  /** A key was touched on something that lies over the screen. */
  call(which: Stop): void {
    (this.#screens.at(-1) ?? this.#shell)?.(which);
  }

  /** Said from an effect, which must not run again because of it. */
  #add(screens: 1 | -1): void {
    this.#own = untrack(() => this.#own) + screens;
  }
}

/** The one of this page. */
export const stops = new Stops();
