import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../../../src/cli/main.ts';
import { changed, lampText } from '../../../support/checklist-texts.ts';
import { heard } from '../../../support/heard.ts';

const lamp = 'tests/support/checklists/bench-lamp.yaml';
let folder = '';
const write = (name: string, text: string | Uint8Array) => {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
};

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'stillwire-check-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

async function json(...args: string[]) {
  const { io, documents, printed, complaints } = heard();
  const status = await run([...args, '--json'], io);
  expect(printed).toEqual([]);
  expect(documents).toHaveLength(1);
  return { status, document: documents[0], complaints };
}

describe('check', () => {
  test('a checklist that is right: status 0', async () => {
    const { status, document } = await json('check', lamp);
    expect(status).toBe(0);
    expect(document).toEqual({
      ok: true,
      files: [
        {
          file: lamp,
          ok: true,
          id: 'bench-lamp',
          sha256: expect.stringMatching(/^[0-9a-f]{64}$/),
          problems: [],
          advice: [],
        },
      ],
    });
  });

  test('a checklist that is not: status 1, every problem with its place', async () => {
    const broken = write(
      'bench-lamp.yaml',
      changed(changed(lampText, 'revision: 1', 'revision: one'), 'do: sign', 'do: sing'),
    );
    const { status, document } = await json('check', broken, lamp);
    expect(status).toBe(1);
    expect(document).toMatchObject({
      ok: false,
      files: [
        {
          ok: false,
          id: null,
          sha256: null,
          problems: [
            {
              path: 'revision',
              line: 5,
              column: 11,
              says: expect.stringContaining('should be a number'),
            },
            {
              path: 'steps[10].do',
              line: 114,
              column: 9,
              says: expect.stringContaining('did you mean sign?'),
            },
          ],
        },
        { ok: true },
      ],
    });
  });

  test('says it for people with file, line and column', async () => {
    const broken = write('bench-lamp.yaml', changed(lampText, 'do: sign', 'do: sing'));
    const { io, printed } = heard();
    expect(await run(['check', broken], io)).toBe(1);
    expect(printed[0]).toBe(
      `${broken}:114:9: problem steps[10].do: “sing” is no kind of step; did you mean sign?`,
    );
    expect(printed.at(-1)).toMatch(/1 problem; it cannot be used\.$/);
  });

  test('a folder stands for its checklists', async () => {
    const { document } = await json('check', 'checklists');
    expect(document).toMatchObject({ ok: true });
    const { files } = document as { files: { file: string }[] };
    expect(files.map(({ file }) => file)).toContain('checklists/range-door-lock.yaml');
  });

  test.each([
    ['no file', ['check'], /Name at least one checklist/],
    ['a file that is not there', ['check', 'nowhere.yaml'], /There is no file nowhere\.yaml/],
    ['an empty folder', ['check', 'static/nothing'], /There is no file|no checklist/],
  ])('%s: status 2 and one sentence', async (_, args, says) => {
    const { status, document, complaints } = await json(...args);
    expect(status).toBe(2);
    expect(complaints).toEqual([expect.stringMatching(says)]);
    expect(document).toEqual({ ok: false, error: complaints[0] });
  });

  test('bytes that are no text: status 2', async () => {
    const { status, complaints } = await json(
      'check',
      write('noise.yaml', new Uint8Array([0xff, 0xfe, 0, 1])),
    );
    expect(status).toBe(2);
    expect(complaints[0]).toMatch(/is not UTF-8 text/);
  });

  test('a translation is read against the checklist beside it', async () => {
    write('bench-lamp.yaml', lampText);
    const translation = write(
      'bench-lamp.es.yaml',
      'translates: bench-lamp\nrevision: 1\nlanguage: es\n',
    );
    const { status, document } = await json('check', translation);
    expect(status).toBe(1);
    const [file] = (document as { files: { problems: { says: string }[] }[] }).files;
    expect(file?.problems.map(({ says }) => says)).toContainEqual(
      expect.stringContaining('The word for title is missing'),
    );
  });
});

describe('outline', () => {
  test('holds the model and the same identity as check', async () => {
    const outline = await json('outline', lamp);
    const check = await json('check', lamp);
    expect(outline.status).toBe(0);
    const { files } = check.document as { files: { sha256: string }[] };
    expect(outline.document).toMatchObject({
      ok: true,
      id: 'bench-lamp',
      sha256: files[0]?.sha256,
      sources: { mains: { kind: 'electrical' } },
      ends: { base: { kind: 'cover' } },
    });
    const { steps } = outline.document as { steps: object[] };
    expect(steps).toHaveLength(11);
    for (const step of steps) {
      expect(step).toEqual(
        expect.objectContaining({
          id: expect.any(String),
          phase: expect.any(String),
          do: expect.any(String),
          needs: expect.any(Array),
          exposes: expect.any(Array),
        }),
      );
    }
  });

  test('for people: sources, ends and numbered steps', async () => {
    const { io, printed } = heard();
    expect(await run(['outline', lamp], io)).toBe(0);
    expect(printed).toContain('    cut at plug: Lamp plug (plug, exclusive)');
    expect(printed).toContain('  5. wires: disconnect; exposes mains');
  });

  test('a checklist with problems cannot be used: status 2', async () => {
    const broken = write('bench-lamp.yaml', changed(lampText, 'do: sign', 'do: sing'));
    const { status, complaints } = await json('outline', broken);
    expect(status).toBe(2);
    expect(complaints).toEqual([expect.stringMatching(/:114:9: “sing” is no kind of step/)]);
  });

  test('reads only', () => {
    expect(readFileSync(lamp, 'utf8')).toBe(lampText);
  });
});
