/**
 * The collecting server as this device reaches it. Whatever comes back over the network is untrusted
 * and only given a shape here; receipts and checkpoints are verified by who uses them.
 */
import { z } from 'zod/mini';
import { RULES } from '#lib/core/screen/finding.ts';

/** What the device was given when the office let it in; kept in its settings. */
export interface ServerSettings {
  /** Web address of the server, with the path it is under, without a slash at the end. */
  readonly address: string;
  readonly device: string;
  readonly token: string;
  /** Name of its log, and the key that signs for it, in the one-line form of a note key. */
  readonly origin: string;
  readonly key: string;
  /** The newest checkpoint that was verified here, a signed note. */
  readonly checkpoint: string | null;
}

export type Reply<T> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: LinkFailure };

/**
 * `unreachable`: no answer, or none that can be read; `busy`: come again later; `refused`: the server
 * says no, and why.
 */
export type LinkFailure =
  | { readonly kind: 'unreachable' }
  | { readonly kind: 'busy'; readonly seconds: number }
  | { readonly kind: 'refused'; readonly code: string; readonly says: string };

export type Fetch = (address: string, init: RequestInit) => Promise<Response>;

const text = z.string();
const count = z.number().check(z.int(), z.minimum(0));
const answer = z.union([
  z.object({
    hash: text,
    status: z.enum(['accepted', 'duplicate', 'forked']),
    index: count,
    receipt: text,
  }),
  z.object({
    hash: z.optional(text),
    status: z.literal('rejected'),
    code: text,
    says: text,
    expected: z.optional(count),
  }),
]);
const batchAnswer = z.object({ checkpoint: text, entries: z.array(answer) });
const head = z.object({
  job: text,
  count,
  head: text,
  forked: z.boolean(),
  checklist: z.optional(text),
  photos: z.array(text),
});
const heads = z.object({ heads: z.array(head) });
const logInfo = z.object({
  origin: text,
  key: text,
  checkpoint: z.nullable(text),
  /** What its clock says, ms since 1970; not told by a server of an earlier version. */
  at: z.optional(count),
});
const proof = z.object({ proof: z.array(text) });
const photoState = z.object({ received: count, complete: z.boolean() });
const enrolled = z.object({ device: text, token: z.optional(text) });
const codeMeaning = z.object({
  label: text,
  people: z.array(z.object({ id: text, name: text })),
  newcomers: z.boolean(),
  endsAt: count,
});
const questions = z.object({
  questions: z.array(
    z.object({
      look: count,
      person: text,
      name: text,
      asks: text,
      openFrom: count,
      finding: z.object({
        rule: z.enum(RULES),
        job: text,
        jobs: z.array(text),
        steps: z.array(text),
        figures: z.record(text, z.union([text, z.number()])),
      }),
    }),
  ),
});
const anything = z.object({});
const failure = z.object({ code: text, says: text });

export type EntryAnswer = z.infer<typeof answer>;
export type JobHead = z.infer<typeof head>;
export type LogInfo = z.infer<typeof logInfo>;
export type CodeMeaning = z.infer<typeof codeMeaning>;
export type Enrolled = z.infer<typeof enrolled>;
/** What the office asks somebody of this device. */
export type Question = z.infer<typeof questions>['questions'][number];

/** No answer within this time is no answer: a dying connection must not hold everything up. */
const PATIENCE_MS = 30_000;
const BUSY_SECONDS = 60;

export class ServerLink {
  readonly #address: string;
  readonly #token: string | null;
  readonly #fetch: Fetch;

  constructor(address: string, token: string | null, fetch: Fetch) {
    this.#address = address.replace(/\/+$/, '');
    this.#token = token;
    this.#fetch = fetch;
  }

  logInfo(): Promise<Reply<LogInfo>> {
    return this.#ask(logInfo, 'GET', '/api/log');
  }

  consistency(older: number, newer: number): Promise<Reply<z.infer<typeof proof>>> {
    return this.#ask(proof, 'GET', `/tiles/consistency?older=${older}&newer=${newer}`);
  }

  sendEntries(lines: readonly Uint8Array[]): Promise<Reply<z.infer<typeof batchAnswer>>> {
    const body = new Blob(lines.flatMap((line) => [plain(line), '\n']));
    return this.#ask(batchAnswer, 'POST', '/api/entries', body, 'application/x-ndjson');
  }

  heads(jobs: readonly string[]): Promise<Reply<z.infer<typeof heads>>> {
    return this.#ask(heads, 'POST', '/api/heads', JSON.stringify({ jobs }), JSON_TYPE);
  }

  sendChecklist(sha256: string, yaml: string): Promise<Reply<object>> {
    return this.#ask(anything, 'PUT', `/api/checklists/${sha256}`, yaml, 'application/yaml');
  }

  sendDisclosures(
    job: string,
    disclosures: readonly { readonly seq: number; readonly disclosure: string }[],
  ): Promise<Reply<object>> {
    const body = JSON.stringify({ job, disclosures });
    return this.#ask(anything, 'POST', '/api/disclosures', body, JSON_TYPE);
  }

  photoState(sha256: string): Promise<Reply<z.infer<typeof photoState>>> {
    return this.#ask(photoState, 'GET', `/api/photos/${sha256}`);
  }

  sendPhotoPart(
    sha256: string,
    start: number,
    size: number,
    bytes: Uint8Array,
  ): Promise<Reply<z.infer<typeof photoState>>> {
    const more = { 'Upload-Offset': String(start), 'Upload-Length': String(size) };
    const body = new Blob([plain(bytes)]);
    const path = `/api/photos/${sha256}`;
    return this.#ask(photoState, 'PATCH', path, body, 'application/octet-stream', more);
  }

  lookAtCode(code: string): Promise<Reply<CodeMeaning>> {
    return this.#ask(codeMeaning, 'POST', '/api/devices/code', JSON.stringify({ code }), JSON_TYPE);
  }

  enrol(request: object): Promise<Reply<Enrolled>> {
    const path = this.#token === null ? '/api/devices' : '/api/keys';
    return this.#ask(enrolled, 'POST', path, JSON.stringify(request), JSON_TYPE);
  }

  questions(): Promise<Reply<z.infer<typeof questions>>> {
    return this.#ask(questions, 'GET', '/api/looks');
  }

  answer(request: object): Promise<Reply<object>> {
    return this.#ask(anything, 'POST', '/api/looks', JSON.stringify(request), JSON_TYPE);
  }

  changeKey(request: object): Promise<Reply<object>> {
    return this.#ask(anything, 'POST', '/api/keys/change', JSON.stringify(request), JSON_TYPE);
  }

  /** A come-back clock, set or set anew: minutes from now by the server's own clock. */
  setClock(clock: {
    readonly id: string;
    readonly person: string;
    readonly job: string;
    readonly place: string;
    readonly minutes: number;
  }): Promise<Reply<object>> {
    return this.#ask(anything, 'PUT', '/api/clocks', JSON.stringify(clock), JSON_TYPE);
  }

  endClock(id: string): Promise<Reply<object>> {
    return this.#ask(anything, 'DELETE', '/api/clocks', JSON.stringify({ id }), JSON_TYPE);
  }

  async #ask<T>(
    shape: z.ZodMiniType<T>,
    method: string,
    path: string,
    body: BodyInit | null = null,
    type?: string,
    more: Readonly<Record<string, string>> = {},
  ): Promise<Reply<T>> {
    const headers = new Headers(more);
    if (type !== undefined) headers.set('Content-Type', type);
    if (this.#token !== null) headers.set('Authorization', `Bearer ${this.#token}`);
    try {
      const response = await this.#fetch(this.#address + path, {
        method,
        headers,
        body,
        // The token says who this is; cookies of the office must not ride along.
        credentials: 'omit',
        redirect: 'error',
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      if (response.status === 429 || response.status >= 500) return busy(response);
      const value: unknown = await response.json();
      if (!response.ok) {
        const read = failure.safeParse(value);
        return read.success ? failed({ kind: 'refused', ...read.data }) : UNREACHABLE;
      }
      const read = shape.safeParse(value);
      return read.success ? { ok: true, value: read.data } : UNREACHABLE;
    } catch {
      return UNREACHABLE;
    }
  }
}

const JSON_TYPE = 'application/json';

const failed = (failure: LinkFailure): { readonly ok: false; readonly failure: LinkFailure } => ({
  ok: false,
  failure,
});

const UNREACHABLE = failed({ kind: 'unreachable' });

function busy(response: Response): { readonly ok: false; readonly failure: LinkFailure } {
  const seconds = Number(response.headers.get('Retry-After') ?? BUSY_SECONDS);
  return failed({ kind: 'busy', seconds: seconds > 0 ? seconds : BUSY_SECONDS });
}

/** Bodies take only views of unshared memory, which every array of ours is. */
function plain(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  return bytes as Uint8Array<ArrayBuffer>;
}
