/** Who watches over the come-back clock of an open job, told again until the office has answered. */
import type { Device } from '#lib/device/device.ts';
import { tellOffice } from '#lib/device/sync/office-watch.ts';
import type { Expected, OfficeClockTold, Watch } from '#lib/device/sync/office-watch.ts';
import { remember, remembered } from '../../this-device.ts';

const AGAIN_MS = 30_000;

export class OfficeWatching {
  readonly #device: Device;
  readonly #key: string;
  /** Null for a job that no office is told of. */
  readonly #expected: () => Expected | null;
  #watch: Watch = $state.raw({ by: 'nobody', office: false });
  #told: OfficeClockTold | null;
  #round: Promise<void> | null = null;
  #more = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #closed = false;

  constructor(device: Device, job: string, expected: () => Expected | null) {
    this.#device = device;
    this.#key = `come-back-office.${job}`;
    this.#expected = expected;
    this.#told = remembered<OfficeClockTold | null>(this.#key, null);
    addEventListener('online', this.tell);
    this.tell();
  }

  get watch(): Watch {
    return this.#watch;
  }

  /** Something changed, or the signal is back. */
  tell = (): void => {
    clearTimeout(this.#timer);
    if (this.#round !== null) {
      this.#more = true;
      return;
    }
    this.#round = this.#ask().finally(() => {
      this.#round = null;
      if (this.#more && !this.#closed) this.tell();
      this.#more = false;
    });
  };

  async #ask(): Promise<void> {
    const expected = this.#expected();
    if (expected === null) return;
    const link = await this.#link();
    const told = await tellOffice(link, this.#told, expected, Date.now(), () =>
      crypto.randomUUID(),
    );
    this.#told = told.clock;
    this.#watch = told.watch;
    remember(this.#key, told.clock);
    if (told.watch.by === 'unanswered' && !this.#closed)
      this.#timer = setTimeout(this.tell, AGAIN_MS);
  }

  async #link() {
    const [{ Outbox }, { ServerLink }] = await Promise.all([
      import('#lib/device/sync/outbox.ts'),
      import('#lib/device/sync/server-link.ts'),
    ]);
    const server = await new Outbox(this.#device.store).server();
    if (!server.ok || server.value === null) return null;
    const { address, token } = server.value;
    return new ServerLink(address, token, (to, init) => fetch(to, init));
  }

  close(): void {
    this.#closed = true;
    clearTimeout(this.#timer);
    removeEventListener('online', this.tell);
  }
}
