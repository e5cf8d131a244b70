import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { checklistIdentity } from '#lib/core/checklist/identity.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { editsBetween, withEdits } from '#lib/core/checklist/revision-edits.ts';

const sha256 = (bytes: Uint8Array) => new Uint8Array(createHash('sha256').update(bytes).digest());
const identity = (json: unknown) => checklistIdentity(json, sha256);

function jsonOf(text: string): Record<string, unknown> {
  const loaded = loadChecklist(text);
  if (!loaded.ok) throw new Error(loaded.problems[0]?.says);
  return loaded.json as Record<string, unknown>;
}
const dryer = jsonOf(readFileSync('checklists/dryer-no-heat.yaml', 'utf8'));
type Step = Record<string, unknown>;
const steps = dryer['steps'] as readonly Step[];

describe('edits from one revision to the next', () => {
  test('a list and itself differ in nothing', () => {
    expect(editsBetween(dryer, dryer)).toEqual([]);
  });

  test('a changed word is one edit, by the id of its step', () => {
    const after = {
      ...dryer,
      revision: 99,
      steps: steps.map((step, at) => (at === 3 ? { ...step, say: 'Look again.' } : step)),
    };
    expect(editsBetween(dryer, after)).toEqual([
      { at: ['revision'], to: 99 },
      { at: ['steps', String(steps[3]?.['id']), 'say'], to: 'Look again.' },
    ]);
  });

  test('a step put in between is itself and the new order', () => {
    const added = { id: 'look-twice', phase: 'arrive', do: 'confirm', states: 'It was looked at' };
    const after = { ...dryer, steps: [added, ...steps] };
    const edits = editsBetween(dryer, after) ?? [];
    expect(edits.map(({ at }) => at)).toEqual([
      ['steps', 'ORDER'],
      ['steps', 'look-twice'],
    ]);
    expect(identity(withEdits(dryer, edits))).toBe(identity(after));
  });

  test('every shipped list can be turned into the next one, byte for byte', () => {
    const all = readdirSync('checklists')
      .filter((file) => /^[a-z-]+\.yaml$/.test(file))
      .map((file) => jsonOf(readFileSync(`checklists/${file}`, 'utf8')));
    expect(all.length).toBeGreaterThanOrEqual(14);
    all.forEach((before, at) => {
      const after = all[(at + 1) % all.length];
      const edits = editsBetween(before, after);
      expect(identity(withEdits(before, edits ?? []))).toBe(identity(after));
    });
  });

  test('edits that do not fit give nothing, and touch nothing', () => {
    const kept = JSON.stringify(dryer);
    const none = [
      [{ at: [] }],
      [{ at: ['nowhere', 'at', 'all'], to: 1 }],
      [{ at: ['nowhere'] }],
      [{ at: ['steps'], to: [] }],
      [{ at: ['steps', 'ORDER'], to: ['no-such-step'] }],
      [{ at: ['steps', 'new-one'], to: { id: 'new-one' } }],
      [{ at: ['__proto__', 'polluted'], to: true }],
      [{ at: ['constructor', 'prototype', 'polluted'], to: true }],
    ];
    for (const edits of none) expect(withEdits(dryer, edits)).toBeNull();
    expect(JSON.stringify(dryer)).toBe(kept);
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
    expect(withEdits(null, [])).toBeNull();
    expect(editsBetween(dryer, [])).toBeNull();
  });
});
