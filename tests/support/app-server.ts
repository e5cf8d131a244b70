// A server of the built app for one test alone: such a test may stop it in the middle.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ensureBuilt } from '../../src/setup/build.mjs';

const serve = new URL('../../src/setup/serve.mjs', import.meta.url).href;

export interface AppServer {
  /** Without a slash at the end. */
  url: string;
  readonly pid: number;
  /** Everything that it has said so far. */
  said(): string;
  /** Ends it as the signal does; resolves when it is gone. */
  stop(signal?: NodeJS.Signals): Promise<void>;
}

/**
 * @param env added to the environment; `PORT` to come back on the same address
 * @param folder a complete build, when not that of the present sources
 */
export async function startApp(
  env: Record<string, string> = {},
  folder?: string,
): Promise<AppServer> {
  const build = folder ?? (await ensureBuilt());
  const program = `import(${JSON.stringify(serve)}).then((it) => it.serve(${JSON.stringify(build)}))`;
  const data = mkdtempSync(join(tmpdir(), 'stillwire-data-'));
  const child = spawn(process.execPath, ['-e', program], {
    env: { ...process.env, HOST: '127.0.0.1', PORT: '0', STILLWIRE_DATA: data, ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const gone = once(child, 'exit');
  let said = '';
  const url = await new Promise<string>((found, fail) => {
    const listen = (chunk: Buffer) => {
      said += String(chunk);
      const match = /http:\/\/\S+/.exec(said);
      if (match !== null) found(match[0]);
    };
    child.stdout.on('data', listen);
    child.stderr.on('data', listen);
    void gone.then(() => fail(new Error(`The server ended before it was ready:\n${said}`)));
  });
  return {
    url,
    pid: child.pid ?? 0,
    said: () => said,
    stop: async (signal = 'SIGTERM') => {
      child.kill(signal);
      await gone;
      rmSync(data, { recursive: true, force: true });
    },
  };
}
