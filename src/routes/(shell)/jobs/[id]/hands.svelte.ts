/** The hands of the people of this device: who says with a PIN that it is their own, and who is being asked. */
import type { Connection } from '#lib/device/connection.ts';
import { publicKeys } from '#lib/device/keys.ts';
import { isShut, keepHandOpen, openHand, shutHand } from '#lib/device/pin-hands.ts';
import * as m from '#lib/ui/paraglide/messages.js';
import { duration } from '#lib/ui/words/of-time.ts';

interface Asking {
  readonly person: string;
  readonly answer: (open: boolean) => void;
}

export class Hands {
  readonly #connection: Connection;
  #pinned: readonly string[] = $state.raw([]);
  #asking: Asking | undefined = $state.raw();

  constructor(connection: Connection) {
    this.#connection = connection;
    void this.meet();
  }

  /** Whose PIN is asked for on the screen. */
  get asked(): string | undefined {
    return this.#asking?.person;
  }

  /** Whether somebody's key here opens with their own PIN only. */
  hasPin(person: string): boolean {
    return this.#pinned.includes(person);
  }

  /** Looks again who has a PIN. */
  async meet(): Promise<void> {
    const keys = await publicKeys(this.#connection);
    if (!keys.ok) return;
    this.#pinned = keys.value.filter(({ pin }) => pin).map(({ person }) => person);
  }

  /** Has somebody give their PIN if their key waits for it; whether it is open now. */
  async open(person: string): Promise<boolean> {
    if (!(await isShut(this.#connection, person))) return true;
    this.#asking?.answer(false);
    return new Promise((answer) => (this.#asking = { person, answer }));
  }

  /** What was wrong with the PIN; undefined when it opened. */
  give = async (pin: string, nameOf: (person: string) => string): Promise<string | undefined> => {
    const asking = this.#asking;
    if (asking === undefined) return undefined;
    const opened = await openHand(this.#connection, asking.person, pin);
    if (!opened.ok) return opened.trouble.says;
    if (opened.value.is === 'wrong') return m.pin_wrong({ name: nameOf(asking.person) });
    if (opened.value.is === 'wait') return m.pin_wait({ time: duration(opened.value.ms) });
    this.#end(true);
    return undefined;
  };

  leave = (): void => this.#end(false);

  #end(open: boolean): void {
    this.#asking?.answer(open);
    this.#asking = undefined;
  }

  /** It takes their PIN again from here on. */
  async shut(person: string): Promise<void> {
    if (this.hasPin(person)) await shutHand(this.#connection, person);
  }

  /** They hold the device: their hand stays open until somebody else does. */
  async keepOpen(person: string): Promise<void> {
    await keepHandOpen(this.#connection, person);
  }
}
