/** Opens the house of this process as the environment says, and closes it with the process. */
import { openHouse, setHouse } from './house.ts';
import { readSettings } from './settings.ts';

const CLOSING = 'stillwire:closing';

/**
 * Ends the process with plain sentences when the environment or the store is not as it must be.
 * @param base the path that the app is served below, without a slash at the end
 */
export async function openPresentHouse(
  env: Readonly<Record<string, string | undefined>>,
  base = '',
): Promise<void> {
  const read = readSettings(env);
  if (!read.ok) return giveUp(read.problems);
  try {
    const opened = await openHouse(read.settings);
    setHouse(opened);
    if (opened.setUp !== null)
      process.stderr.write(
        `The office has no account yet. Open ${base}/office/set-up and type this code, which is good once: ${opened.setUp.code}\n`,
      );
    // Said by the server once no request is under way any more.
    process.once(CLOSING as 'exit', (closing: unknown) => {
      if (Array.isArray(closing)) closing.push(opened.close());
    });
  } catch (error) {
    giveUp([error instanceof Error ? error.message : String(error)]);
  }
}

function giveUp(sentences: readonly string[]): void {
  process.stderr.write(`${sentences.join('\n')}\nThe server was not started.\n`);
  process.exit(1);
}
