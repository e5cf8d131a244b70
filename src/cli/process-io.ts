import type { Io } from './verb.ts';

/** The streams of this process. Standard output that is closed early (`| head`) is no error. */
export function processIo(): Io {
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error;
  });
  let shown = 0;
  const clear = () => {
    if (shown > 0) process.stderr.write(`\r${' '.repeat(shown)}\r`);
    shown = 0;
  };
  return {
    print(text) {
      clear();
      process.stdout.write(`${text}\n`);
    },
    printJson(document) {
      clear();
      process.stdout.write(`${JSON.stringify(document, null, 2)}\n`);
    },
    complain(text) {
      clear();
      process.stderr.write(`${text}\n`);
    },
    progress(text) {
      if (!process.stderr.isTTY) return;
      clear();
      process.stderr.write(text);
      shown = text.length;
    },
  };
}
