import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { planOf } from '../../../../src/lib/core/job/plan.ts';
import { loadChecklist } from '../../../../src/lib/core/checklist/load.ts';
import {
  missingLanguages,
  readHouseFile,
  withHouseLimits,
} from '../../../../src/lib/core/measure/house-limits.ts';

const file = new URL('../../../../checklists/range-door-lock.yaml', import.meta.url);
const loaded = loadChecklist(readFileSync(file, 'utf8'));
if (!loaded.ok) throw new Error('The range list does not load.');
const { checklist } = loaded;

const house = (limits: Record<string, object>, rules: Record<string, object> = {}) => {
  const read = readHouseFile({
    format: 1,
    firm: 'Alder Row Appliance Service',
    officer: 'Mara Quill',
    issued: '2026-11-02',
    limits: { 'range-door-lock': limits },
    rules: { 'range-door-lock': rules },
  });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return withHouseLimits(checklist, read.file);
};

describe('the limits of a firm', () => {
  test('take the place of a default, and the list says whose they are', () => {
    // EN 50678: 0.3 ohm for a cord of up to 5 m; the firm asks for less.
    const { checklist: housed, applied, refused } = house({ bond: { most: '0.2 ohm' } });
    expect(refused).toEqual([]);
    expect(applied).toEqual([
      { step: 'bond', before: 'at most 0.3 ohm (default)', now: 'at most 0.2 ohm' },
    ]);
    const bond = housed.steps.find(({ id }) => id === 'bond');
    expect(bond).toMatchObject({
      accept: { most: '0.2 ohm' },
      limit: 'house',
      reference: 'house-bond',
    });
    expect(housed.references['house-bond']).toBe(
      'House limit of Alder Row Appliance Service, issued 2026-11-02 by Mara Quill: at most 0.2 ohm; ' +
        `before at most 0.3 ohm (default, ${checklist.references['en-50678']})`,
    );
    expect(loadChecklist(JSON.stringify(housed)).ok).toBe(true);
  });

  test('a maker’s limit is narrowed on one side and stands on the other', () => {
    const { checklist: housed } = house({ motor: { most: '2.8 kohm' } });
    expect(housed.steps.find(({ id }) => id === 'motor')).toMatchObject({
      accept: { least: '2.34 kohm', most: '2.8 kohm' },
      limit: 'house',
    });
  });

  test.each([
    ['looser than the maker', { motor: { most: '3 kohm' } }, /looser than the maker limit/u],
    ['looser below', { motor: { least: '2 kohm' } }, /may only be stricter/u],
    ['of another kind', { bond: { most: '2 V' } }, /not of the kind/u],
    ['on a step that is none', { bnd: { most: '0.2 ohm' } }, /no step “bnd”/u],
    ['on a step that reads nothing', { scene: { most: '0.2 ohm' } }, /no reading step/u],
    ['empty', { bond: {} }, /least, most or both/u],
    ['on pairs', { supply: { most: '125 V' } }, /another form/u],
    ['no quantity', { bond: { most: 'little' } }, /little/u],
  ])('a value %s is refused with its place, and nothing is taken', (_, limits, says) => {
    const {
      checklist: housed,
      applied,
      refused,
    } = house({ ...limits, harness: { most: '0.8 ohm' } });
    expect(refused).toHaveLength(1);
    expect(refused[0]?.says).toMatch(says);
    expect(refused[0]?.path).toBe(`limits.range-door-lock.${Object.keys(limits)[0]}`);
    expect(applied).toEqual([]);
    expect(housed).toBe(checklist);
  });

  test('a file that is none says where', () => {
    expect(
      readHouseFile({ format: 1, firm: 'A', officer: 'B', issued: '2026-13-02', limits: {} }),
    ).toMatchObject({ ok: false, problems: [{ path: 'issued' }] });
  });
});

describe('the rules of a firm', () => {
  const ruled = (rules: Record<string, object>) => {
    const { checklist: housed, applied, refused } = house({}, rules);
    const again = loadChecklist(JSON.stringify(housed));
    if (!again.ok) throw new Error(again.problems.map(({ says }) => says).join(' '));
    return { plan: planOf(again.checklist), housed, applied, refused };
  };

  test('shorten a shelf life, add what ends a fact, ask for more people; the engine goes by them', () => {
    const rules = { dead: { keeps: '10 min', unless: ['leftSight'] }, live: { people: 2 } };
    const { plan, housed, applied, refused } = ruled(rules);
    expect(refused).toEqual([]);
    expect(applied).toEqual([
      { step: 'dead', before: 'keeps 30 min', now: 'keeps 10 min' },
      {
        step: 'dead',
        before: 'ended by the standing table',
        now: 'ended also by leftSight',
      },
      { step: 'live', before: 'at least 1 present', now: 'at least 2 present' },
    ]);
    const step = (id: string) => plan.steps.find((each) => each.id === id);
    expect(step('dead')).toMatchObject({
      keepsMs: 600_000,
      unless: expect.arrayContaining(['leftSight']) as string[],
    });
    expect(step('live')).toMatchObject({ people: 2 });
    expect(housed.references['house-rules']).toMatch(
      /^House rules of Alder Row Appliance Service, issued 2026-11-02 by Mara Quill: dead keeps 10 min/u,
    );
  });

  test.each([
    ['a longer life than the standing one', { dead: { keeps: '45 min' } }, /longer .*30 min/u],
    ['a longer roll call', { clear: { keeps: '11 min' } }, /longer .*10 min/u],
    ['no time', { dead: { keeps: '3 V' } }, /no time/u],
    ['nothing', { dead: {} }, /keeps, unless or people/u],
    ['a step that is none', { ded: { people: 2 } }, /no step “ded”/u],
  ])('%s is refused, and nothing is taken', (_, rules, says) => {
    const { housed, applied, refused } = ruled({ ...rules, live: { people: 3 } });
    expect(applied).toEqual([]);
    expect(housed).toBe(checklist);
    expect(refused.map((each) => each.says)).toEqual([expect.stringMatching(says)]);
  });

  test('fewer people than the list asks for are refused', () => {
    const two = house({}, { live: { people: 2 } }).checklist;
    const one = readHouseFile({
      format: 1,
      firm: 'Alder Row',
      officer: 'Mara Quill',
      issued: '2026-11-02',
      rules: { 'range-door-lock': { live: { people: 1 } } },
    });
    if (!one.ok) throw new Error('not read');
    expect(withHouseLimits(two, one.file).refused[0]?.says).toMatch(/1 is fewer people .*\(2\)/u);
  });

  test('a language without words is named', () => {
    const read = readHouseFile({
      format: 1,
      firm: 'Alder Row',
      officer: 'Mara Quill',
      issued: '2026-11-02',
      languages: ['en', 'pl'],
    });
    if (!read.ok) throw new Error('not read');
    expect(missingLanguages(read.file, ['en', 'es'])).toEqual([
      {
        path: 'languages',
        says: expect.stringMatching(/no words in pl; it has en, es/u) as string,
      },
    ]);
  });
});
