/** The first account: made by who can read the console of the server, once. */
import { timingSafeEqual } from 'node:crypto';
import type { Rows } from '../database/database.ts';
import { refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { freshCode, plainCode, tokenHash } from '../secrets.ts';
import { anyAccount, makeAccount } from './accounts.ts';
import type { AccountGround, NewAccount } from './accounts.ts';

const MOST_TRIES = 20;

export class SetUp {
  readonly #hash: Uint8Array;
  /** To be said on the console, and nowhere else. */
  readonly code: string;
  #tries = 0;
  #done = false;

  constructor() {
    this.code = freshCode();
    this.#hash = tokenHash(plainCode(this.code) ?? '');
  }

  /** Null when the office has an account already. */
  static async ifNeeded(rows: Rows): Promise<SetUp | null> {
    return (await anyAccount(rows)) ? null : new SetUp();
  }

  /** Whether the office still has no account; another process may have made it. */
  async waits(rows: Rows): Promise<boolean> {
    this.#done ||= await anyAccount(rows);
    return !this.#done;
  }

  async make(
    ground: AccountGround,
    typed: string,
    account: Omit<NewAccount, 'role'>,
  ): Promise<Answered<{ readonly id: string }>> {
    this.#tries += 1;
    if (this.#tries > MOST_TRIES)
      return refused(429, 'too-many', 'Too many tries. Start the server again for a new code.');
    const code = plainCode(typed);
    if (code === null || !timingSafeEqual(tokenHash(code), this.#hash))
      return refused(
        403,
        'wrong-code',
        'This is not the code on the console of the server. It changes at every start.',
      );
    return makeAccount(ground, { ...account, role: 'officer' }, 'console', true);
  }
}
