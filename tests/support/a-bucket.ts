/** A small server that speaks the S3 interface and checks every signature, with one empty bucket. */
import S3Server from '@20minutes/s3rver';
import { AwsClient } from 'aws4fetch';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { S3Place } from '#lib/server/files/s3-place.ts';
import type { S3Settings } from '#lib/server/files/s3-place.ts';
import { freePort } from './free-port.ts';

export interface Bucket {
  readonly settings: S3Settings;
  readonly place: S3Place;
  /** Writes an object as somebody with the keys of the bucket could, whatever its name says. */
  put(name: string, bytes: Uint8Array): Promise<void>;
  /** Answers no more until `start`, at the same address and with what it held. */
  pause(): Promise<void>;
  start(): Promise<void>;
  stop(): Promise<void>;
}

// The one pair of keys that this server knows.
const KEYS = { accessKeyId: 'S3RVER', secretAccessKey: 'S3RVER', region: 'us-east-1' };

export async function startBucket(): Promise<Bucket> {
  const directory = mkdtempSync(join(tmpdir(), 'stillwire-bucket-'));
  const options = {
    address: '127.0.0.1',
    silent: true,
    directory,
    allowMismatchedSignatures: false,
    configureBuckets: [{ name: 'photos', configs: [] }],
  };
  // It comes back at the same address: the port must be there when it does.
  const port = await freePort();
  let server = new S3Server({ ...options, port });
  await server.run();
  const settings = { ...KEYS, address: `http://127.0.0.1:${port}/photos/crew` };
  const place = new S3Place(settings);
  let up = true;
  const pause = async () => {
    if (up) await server.close();
    up = false;
  };
  return {
    settings,
    place,
    async put(name, bytes) {
      const client = new AwsClient({ ...KEYS, service: 's3' });
      const headers = { 'X-Amz-Content-Sha256': 'UNSIGNED-PAYLOAD', 'Content-Type': 'image/jpeg' };
      const body = new Uint8Array(bytes);
      await client.fetch(`${settings.address}/${name}`, { method: 'PUT', body, headers });
    },
    pause,
    async start() {
      server = new S3Server({ ...options, port });
      await server.run();
      up = true;
    },
    async stop() {
      await pause();
      rmSync(directory, { recursive: true, force: true, maxRetries: 3 });
    },
  };
}
