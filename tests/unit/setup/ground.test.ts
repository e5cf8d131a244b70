import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { findBrowser } from '../../../src/setup/browser.mjs';
import { depsAreThere } from '../../../src/setup/ensure-deps.mjs';
import { fingerprint } from '../../../src/setup/fingerprint.mjs';
import { projectNode } from '../../../src/setup/link-bins.mjs';
import { node, runTool } from '../../../src/setup/run.mjs';

afterEach(() => {
  vi.unstubAllEnvs();
});

describe('the ground', () => {
  test('the packages are there, and the Node that comes with them is the one in use', () => {
    expect(depsAreThere()).toBe(true);
    expect(projectNode()).not.toBeNull();
    expect(node).toBe(projectNode());
  });

  test('the same sources have the same name', () => {
    expect(fingerprint()).toMatch(/^[0-9a-f]{64}$/);
    expect(fingerprint()).toBe(fingerprint());
  });

  test('a browser that was named comes first, then one on the path', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'stillwire-browser-'));
    for (const name of ['chromium', 'named']) {
      writeFileSync(join(folder, name), '');
      chmodSync(join(folder, name), 0o755);
    }
    vi.stubEnv('PATH', folder);
    vi.stubEnv('CHROMIUM_PATH', '');
    expect(await findBrowser()).toBe(join(folder, 'chromium'));
    vi.stubEnv('CHROMIUM_PATH', join(folder, 'named'));
    expect(await findBrowser()).toBe(join(folder, 'named'));
    rmSync(folder, { recursive: true });
  });

  test('a tool that fails, or is not there, is no success', async () => {
    const failed = await runTool('tsc', ['--no-such-flag'], { quiet: true });
    expect(failed.status).not.toBe(0);
    expect(failed.output).toContain('--no-such-flag');
    expect((await runTool('no-such-tool', [], { quiet: true })).status).not.toBe(0);
  });
});
