import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { run } from '../../../../src/cli/main.ts';
import { heard } from '../../../support/heard.ts';

const lamp = fileURLToPath(new URL('../../../support/checklists/bench-lamp.yaml', import.meta.url));
const range = 'checklists/range-door-lock.yaml';

async function prove(...args: string[]) {
  const { io, documents, complaints } = heard();
  const status = await run(['prove', ...args], io);
  return { status, document: documents[0], said: complaints.join('\n') };
}

describe('prove', () => {
  test('a walk that is cut short claims nothing of what it did not see', async () => {
    const { status, document } = await prove(range, '--people', '1', '--states', '50', '--json');
    expect(status).toBe(1);
    expect(document).toMatchObject({
      ok: false,
      files: [
        {
          ok: false,
          complete: false,
          people: 1,
          properties: { P1: { holds: null }, P12: { holds: null } },
          deadEnds: null,
          idleGates: null,
        },
      ],
    });
  });

  test('the bench lamp with one person: every property was held to the end', async () => {
    const { document } = await prove(lamp, '--people', '1', '--connectors', '1', '--json');
    const [file] = (document as { files: Record<string, unknown>[] }).files;
    expect(file).toMatchObject({ complete: true, states: 298, transitions: 3179, idleGates: [] });
    const properties = file?.properties as Record<string, { holds: boolean }>;
    expect(Object.values(properties).map(({ holds }) => holds)).toEqual(Array(12).fill(true));
  });

  test.each([
    [['--people', '0'], /whole number from 1 to 7/u],
    [['--seconds', 'soon'], /whole number from 1/u],
    [['--fast'], /no flag --fast/u],
  ])('%j is not usable', async (flags, says) => {
    const { status, said } = await prove(lamp, ...flags);
    expect(status).toBe(2);
    expect(said).toMatch(says);
  });

  test('a translation alone has nothing to prove', async () => {
    const { status, said } = await prove('checklists/range-door-lock.es.yaml');
    expect(status).toBe(2);
    expect(said).toMatch(/is a translation/u);
  });
});
