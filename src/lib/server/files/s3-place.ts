/**
 * Photos in storage that speaks the S3 interface: one object for each, under its SHA-256. The signature of
 * a request covers the hash of its body, so that storage which looks at it refuses bytes that were changed
 * on the way.
 */
import { AwsClient } from 'aws4fetch';
import { PlaceTrouble } from './photo-place.ts';
import type { KeptPhoto, PhotoPlace } from './photo-place.ts';

export interface S3Settings {
  /** Address of the bucket, and a path in it if wanted, without a slash at the end. */
  readonly address: string;
  readonly region: string;
  readonly accessKeyId: string;
  readonly secretAccessKey: string;
}

const PATIENCE_MS = 20_000;
/** SHA-256 of nothing (FIPS 180-4). */
const NO_BODY = 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855';

export class S3Place implements PhotoPlace {
  readonly #address: string;
  readonly #client: AwsClient;

  constructor({ address, region, accessKeyId, secretAccessKey }: S3Settings) {
    this.#address = address;
    const retries = 2;
    this.#client = new AwsClient({ accessKeyId, secretAccessKey, region, service: 's3', retries });
  }

  /** @throws PlaceTrouble with a plain sentence when photos could not be kept there */
  async check(): Promise<void> {
    // No photo has this name; storage that lets us in answers that there is none.
    await this.look('0'.repeat(64));
  }

  async keep(sha256: string, bytes: Uint8Array, type: string): Promise<void> {
    const answer = await this.#ask('PUT', sha256, sha256, {
      body: bytes as Uint8Array<ArrayBuffer>,
      headers: { 'Content-Type': type },
    });
    await answer.body?.cancel();
    if (!answer.ok) throw refused('keep a photo', answer.status);
  }

  async look(sha256: string): Promise<KeptPhoto | null> {
    const answer = await this.#ask('HEAD', sha256, NO_BODY);
    if (answer.status === 404) return null;
    if (!answer.ok) throw refused('look for a photo', answer.status);
    const size = Number(answer.headers.get('content-length') ?? 0);
    return { size, type: answer.headers.get('content-type') ?? 'application/octet-stream' };
  }

  async *read(sha256: string): AsyncGenerator<Uint8Array> {
    const answer = await this.#ask('GET', sha256, NO_BODY);
    if (answer.ok && answer.body !== null) yield* answer.body;
    else await answer.body?.cancel();
    if (!answer.ok && answer.status !== 404) throw refused('read a photo', answer.status);
  }

  async #ask(
    method: string,
    sha256: string,
    bodyHash: string,
    init: RequestInit = {},
  ): Promise<Response> {
    const headers = new Headers(init.headers);
    headers.set('X-Amz-Content-Sha256', bodyHash);
    try {
      return await this.#client.fetch(`${this.#address}/${sha256}`, {
        ...init,
        method,
        headers,
        redirect: 'error',
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      throw new PlaceTrouble(`The storage for photos at ${this.#address} does not answer: ${why}`, {
        cause: error,
      });
    }
  }
}

function refused(what: string, status: number): PlaceTrouble {
  const hint =
    status === 403
      ? ' Are the key and the region right, and may the key read and write there?'
      : '';
  return new PlaceTrouble(`The storage for photos would not ${what} (HTTP ${status}).${hint}`);
}
