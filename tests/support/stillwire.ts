// The command line, as a person runs it.
import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const program = fileURLToPath(new URL('../../src/cli/stillwire.mjs', import.meta.url));

export function stillwire(...args: readonly string[]): Promise<{ code: number; output: string }> {
  return new Promise((resolve) => {
    execFile(process.execPath, [program, ...args], (error, stdout, stderr) => {
      const code = error === null ? 0 : typeof error.code === 'number' ? error.code : 1;
      resolve({ code, output: stdout + stderr });
    });
  });
}
