import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, test } from 'vitest';
import { run } from '../../../../src/cli/main.ts';
import { changed, lampText, stepBlock } from '../../../support/checklist-texts.ts';
import { heard } from '../../../support/heard.ts';

const path = (name: string) =>
  fileURLToPath(new URL(`../../../support/checklists/${name}`, import.meta.url));
const lamp = path('bench-lamp.yaml');
const folder = mkdtempSync(join(tmpdir(), 'gates-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function said(...args: string[]) {
  const { io, documents, complaints, printed: lines } = heard();
  const status = await run(args, io);
  return { status, document: documents[0], complaints: complaints.join('\n'), lines };
}

interface Gate {
  readonly gate: string;
  readonly idle: boolean | null;
  readonly breaks: { readonly property: string; readonly trace: readonly object[] } | null;
  readonly letsThrough: { readonly trace: readonly object[] } | null;
}

const gatesIn = (document: unknown) =>
  (document as { files: { gates: readonly Gate[] }[] }).files.flatMap(({ gates }) => gates);

function saved(name: string, trace: readonly object[]): string {
  const file = join(folder, name);
  writeFileSync(file, trace.map((command) => `${JSON.stringify(command)}\n`).join(''));
  return file;
}

describe('prove --without', () => {
  test.each([
    ['roll-call', 'P3'],
    ['dead', 'P1'],
    ['order', 'P8'],
  ])('%s: %s breaks, and replay does it again', async (gate, property) => {
    const proved = await said('prove', lamp, '--without', gate, '--json');
    expect(proved.status).toBe(1);
    const [found] = gatesIn(proved.document);
    expect(found?.breaks?.property).toBe(property);
    const taps = saved(`${gate}.jsonl`, found?.breaks?.trace ?? []);

    const out = await said('replay', lamp, taps, '--without', gate, '--json');
    const { results, broken } = out.document as {
      results: { accepted: boolean }[];
      broken: { property: string; line: number }[];
    };
    expect(results.every(({ accepted }) => accepted)).toBe(true);
    expect(broken.map((each) => each.property)).toContain(property);
    expect(broken.find((each) => each.property === property)?.line).toBe(results.length);
    expect(out.status).toBe(1);

    const whole = await said('replay', lamp, taps, '--json');
    expect(whole.document).toMatchObject({ ok: false, broken: [] });
  });

  test('a gate that is idle holds', async () => {
    const args = ['--people', '1', '--connectors', '1', '--json'];
    const { status, document } = await said('prove', lamp, '--without', 'window', ...args);
    expect(status).toBe(0);
    expect(gatesIn(document)).toMatchObject([{ idle: true, breaks: null, letsThrough: null }]);
  });

  test('in words: what breaks, what it would have stopped, and the taps', async () => {
    const { lines } = await said('prove', lamp, '--without', 'dead');
    expect(lines.join('\n')).toMatch(
      /dead \(serves P1, P5\): without it P1 breaks: Lamp plug is not isolated/u,
    );
    expect(lines.join('\n')).toMatch(/would have stopped: A hand goes .+\[FACE 94MD038/u);
    expect(lines.filter((line) => line.startsWith('    {'))).toHaveLength(12);
  });

  test.each([
    [['prove', lamp, '--without', 'luck'], /no gate “luck” to take out; there are: window, order/u],
    [['prove', lamp, '--without', 'dead', '--gates'], /give one of the two/u],
    [['replay', lamp, 'none.jsonl', '--without', 'luck'], /no gate “luck”/u],
    [['replay', lamp, 'none.jsonl', '--without', 'dead', '--record', 'x'], /every gate in place/u],
  ])('%j is not usable', async (args, says) => {
    const { status, complaints } = await said(...args);
    expect(status).toBe(2);
    expect(complaints).toMatch(says);
  });
});

test('prove --gates: each gate of the lamp in turn', async () => {
  const args = ['--people', '1', '--connectors', '1', '--json'];
  const { status, document } = await said('prove', lamp, '--gates', ...args);
  const needed = gatesIn(document).filter(({ idle }) => idle === false);
  expect(needed.map(({ gate }) => gate)).toEqual([
    'order',
    'once',
    'competence',
    'dead',
    'prove-cut',
    'ends',
    'roll-call',
    'locks-off',
  ]);
  expect(status).toBe(0);
});

test('prove tells of every gate what it is for', async () => {
  const { document } = await said('prove', lamp, '--people', '1', '--states', '50', '--json');
  const [file] = (document as { files: { guards: Record<string, unknown>[] }[] }).files;
  expect(file?.guards.find(({ gate }) => gate === 'dead')).toMatchObject({
    kind: 'standing',
    serves: ['P1', 'P5'],
    report: 'FACE 94MD038, NIOSHTIC 20026141',
  });
});

test('a gate that waits for its own step: a dead end, and replay runs the taps that reach it', async () => {
  const gloves = [
    '  - id: gloves',
    '    phase: isolate',
    '    do: wear',
    '    on: [thin gloves]',
    '    wearing: [thin gloves]',
    '    say: Put on thin gloves.',
    '',
  ].join('\n');
  const unplug = stepBlock(lampText, 'unplug');
  const file = join(folder, 'hangs.yaml');
  writeFileSync(file, changed(lampText, unplug, gloves + unplug));

  const { status, document } = await said('prove', file, '--people', '1', '--json');
  const [proved] = (document as { files: { complete: boolean; deadEnds: object[][] }[] }).files;
  expect([status, proved?.complete]).toEqual([1, true]);
  const taps = saved('hangs.jsonl', proved?.deadEnds[0] ?? []);
  const again = await said('replay', file, taps, '--json');
  expect(again.document).toMatchObject({
    ok: true,
    results: [{ events: ['job.opened'] }, { events: ['step.done'] }],
    state: { status: 'atWork', ready: [] },
  });
});
