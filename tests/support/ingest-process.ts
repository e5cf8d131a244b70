/** Starts the collecting server of `ingest-child.ts`, which a test may kill at any moment. */
import { fork } from 'node:child_process';
import { once } from 'node:events';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { BatchAnswer } from '#lib/server/ingest/answer.ts';
import type { EmptyPlace } from './test-database.ts';

const program = fileURLToPath(new URL('./ingest-child.ts', import.meta.url));

export interface IngestProcess {
  /** The answer; null when the process died before it gave one. */
  take(lines: readonly Uint8Array[]): Promise<BatchAnswer | null>;
  /** As a power switch does; resolves when it is gone. */
  kill(): Promise<void>;
  readonly gone: Promise<void>;
}

export async function startIngest(
  { place, folder }: EmptyPlace,
  device: string,
): Promise<IngestProcess> {
  const child = fork(program, [JSON.stringify([place, folder, device])], {
    env: { ...process.env, NODE_COMPILE_CACHE: join(tmpdir(), 'stillwire-compile-cache') },
    stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
  });
  let complaint = '';
  child.stderr?.on('data', (chunk: Buffer) => (complaint += String(chunk)));
  let alive = true;
  const gone = once(child, 'exit').then(() => {
    alive = false;
  });
  const waiting = new Map<number, (answer: BatchAnswer | null) => void>();
  let count = 0;
  const ready = new Promise<void>((begin, fail) => {
    child.on('message', (said: 'ready' | { no: number; answer?: BatchAnswer; error?: string }) => {
      if (said === 'ready') return begin();
      if (said.error !== undefined) complaint += said.error;
      waiting.get(said.no)?.(said.answer ?? null);
      waiting.delete(said.no);
    });
    void gone.then(() => fail(new Error(`The server did not start:\n${complaint}`)));
  });
  void gone.then(() => {
    for (const settle of waiting.values()) settle(null);
    waiting.clear();
  });
  await ready;
  return {
    take(lines) {
      // Nobody settles what is asked of a process that is gone already.
      if (!alive) return Promise.resolve(null);
      const no = (count += 1);
      return new Promise((settle) => {
        waiting.set(no, settle);
        const encoded = lines.map((line) => Buffer.from(line).toString('base64'));
        // The channel closes with the process, which `gone` hears of.
        child.send({ no, lines: encoded }, () => {});
      });
    },
    async kill() {
      child.kill('SIGKILL');
      await gone;
    },
    gone,
  };
}
