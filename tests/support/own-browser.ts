// A browser of our own making on a given profile, so that its process can be killed outright.
import { chromium } from '@playwright/test';
import type { Browser, Page } from '@playwright/test';
import { spawn } from 'node:child_process';
import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';

export interface OwnBrowser {
  readonly browser: Browser;
  readonly page: Page;
  /** SIGKILL for the browser process and all its children; resolves when it is gone. */
  kill(): Promise<void>;
}

export async function openOwnBrowser(
  profile: string,
  ...more: readonly string[]
): Promise<OwnBrowser> {
  const child = spawn(
    process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
    [
      '--headless=new',
      '--remote-debugging-port=0',
      `--user-data-dir=${profile}`,
      '--no-first-run',
      '--no-default-browser-check',
      '--disable-gpu',
      '--disable-quic',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
      ...more,
      'about:blank',
    ],
    // A group of its own: what the browser started dies with it.
    { detached: true, stdio: ['ignore', 'ignore', 'pipe'] },
  );
  const gone = once(child, 'exit');
  const browser = await chromium.connectOverCDP(await addressOf(child));
  const page = browser.contexts()[0]?.pages()[0];
  if (page === undefined) throw new Error('The browser opened no page.');
  return {
    browser,
    page,
    kill: async () => {
      if (child.pid !== undefined && child.exitCode === null && child.signalCode === null) {
        process.kill(-child.pid, 'SIGKILL');
      }
      await gone;
    },
  };
}

async function addressOf(child: ChildProcess): Promise<string> {
  if (child.stderr === null) throw new Error('The browser has no output.');
  for await (const line of createInterface({ input: child.stderr })) {
    const found = /^DevTools listening on (ws:\/\/\S+)$/.exec(line);
    if (found?.[1] !== undefined) {
      child.stderr.resume();
      return found[1];
    }
  }
  throw new Error('The browser ended before it listened.');
}
