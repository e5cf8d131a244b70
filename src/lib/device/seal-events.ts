/**
 * From events to lines: private values split off as salted disclosures, each entry chained to the one
 * before and signed by the person who acted. Done before any transaction opens: a database commits a
 * transaction that waits for a signature.
 */
import type { JobEvent } from '#lib/core/job/events.ts';
import { SALT_BYTES, discloseAll, headOf, manifestOf, sealEntry } from '#lib/core/record/index.ts';
import type { Body, EntryFields, SealedEntry, Seen, Signer } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import type { DisclosureRow } from './schema.ts';
import { done, failed, standing } from './trouble.ts';
import type { Result } from './trouble.ts';

/** What every entry of a job tells about the program; never changes within a job. */
export interface Program {
  /** Version and build, such as `0.1.0+3f2a`. */
  readonly app: string;
  /** Hex SHA-256 of the rule set in force. */
  readonly rules: string;
}

export interface Sealing {
  readonly job: string;
  readonly program: Program;
  /** The record so far. */
  readonly upon: readonly SealedEntry[];
  readonly signer: Signer;
  /** The newest checkpoint of a server that was verified here: none of this was written before it. */
  readonly seen?: Seen | null;
}

export interface SealedEvents {
  readonly entries: readonly SealedEntry[];
  readonly disclosures: readonly DisclosureRow[];
  /** Digests of disclosures that these events erase. */
  readonly erased: readonly string[];
}

/** Seals events of one person in order; `not-recordable` when one does not fit an entry. */
export async function sealEvents(
  events: readonly JobEvent[],
  { job, program, upon, signer, seen = null }: Sealing,
): Promise<Result<SealedEvents>> {
  const all = [...upon];
  const disclosures: DisclosureRow[] = [];
  for (const event of events) {
    const secret = discloseAll(event.private ?? {}, freshSalt, purePrimitives);
    const last = all.at(-1);
    const fields: EntryFields = {
      app: program.app,
      at: event.at,
      body: bodyOf(event, all, signer),
      boot: event.boot,
      by: event.by,
      job,
      mono: event.mono,
      rules: program.rules,
      type: event.type,
      ...(secret.digests.length === 0 ? {} : { _sd: secret.digests }),
      ...(seen === null ? {} : { seen }),
    };
    const sealed = await signed(() =>
      sealEntry(fields, last === undefined ? null : headOf(last), signer, purePrimitives),
    );
    if (!sealed.ok) return sealed;
    if (!sealed.value.ok) {
      return failed(
        'not-recordable',
        `This cannot be recorded as it stands. ${sealed.value.flaw.says} Nothing was written and nothing is lost. Shorten it or write it another way, then do it again.`,
      );
    }
    const { entry } = sealed.value.value;
    all.push(sealed.value.value);
    for (const { digest, encoded } of secret.disclosures) {
      disclosures.push({ job, seq: entry.seq, digest, disclosure: encoded });
    }
  }
  const erased = events.flatMap((event) =>
    event.type === 'disclosure.erased' ? [event.body.digest] : [],
  );
  return done({ entries: all.slice(upon.length), disclosures, erased });
}

/** The last entry of a job says what all the others were. */
function bodyOf(event: JobEvent, before: readonly SealedEntry[], signer: Signer): Body {
  const body = event.body as unknown as Body;
  if (event.type !== 'job.closed') return body;
  const manifest = manifestOf(before, signer.key);
  return { ...body, manifest: manifest === null ? null : { ...manifest } };
}

/** The browser may have lost the use of a key that it still lists. */
async function signed<T>(attempt: () => Promise<T>): Promise<Result<T>> {
  try {
    return done(await attempt());
  } catch {
    return standing('no-crypto');
  }
}

function freshSalt(): Uint8Array {
  return crypto.getRandomValues(new Uint8Array(SALT_BYTES));
}
