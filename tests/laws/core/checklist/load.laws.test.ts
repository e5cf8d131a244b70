/** What holds for every text that someone may hand to the loader. */
import { fc, test } from '@fast-check/vitest';
import { describe, expect } from 'vitest';
import { parse, stringify } from 'yaml';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Problem } from '#lib/core/checklist/model.ts';
import { readYaml } from '#lib/core/checklist/read-yaml.ts';
import { reviewChecklist } from '#lib/core/checklist/review.ts';
import { applyTranslation } from '#lib/core/checklist/translation.ts';
import {
  checklistOf,
  checklistText,
  kilnText,
  lampText,
  withoutStep,
} from '../../../support/checklist-texts.ts';

const rangeText = checklistText('range-door-lock.yaml', 'shipped');
const kiln = checklistOf(kilnText);

/** A problem that a person can act on: a place inside the text and a sentence. */
function expectActionable(problems: readonly Problem[], text: string): void {
  const lines = text.split(/\r\n|\r|\n/u).length;
  for (const { line, column, path, says } of problems) {
    expect(line).toBeGreaterThan(0);
    expect(line).toBeLessThanOrEqual(Math.max(1, lines));
    expect(column).toBeGreaterThan(0);
    expect(typeof path).toBe('string');
    expect(says).toMatch(/^.*[a-z].*[.?]$/su);
    expect(says).not.toMatch(/undefined|\[object|NaN|Invalid input/u);
  }
}

function expectTold(text: string): void {
  const loaded = loadChecklist(text);
  if (loaded.ok) {
    expectActionable(reviewChecklist(loaded.checklist, loaded.places), text);
    return;
  }
  expect(loaded.problems.length).toBeGreaterThan(0);
  expectActionable(loaded.problems, text);
}

/** Pieces that YAML gives a meaning to. */
const piece = fc.constantFrom(
  ...[
    '- ',
    ': ',
    '? ',
    '| \n',
    '> \n',
    '&a ',
    '*a',
    '!!str ',
    '!<x> ',
    '{',
    '}',
    '[',
    ']',
    ',',
    '"',
    "'",
    '#',
    '%',
  ],
  ...[
    '\n',
    '\n  ',
    '\t',
    '---\n',
    '...\n',
    '<<: ',
    '~',
    'null',
    '.nan',
    '0x1F',
    'yes',
    '\\',
    '@',
    '`',
    '\u0085',
    '\ufeff',
  ],
  ...[
    'format: 1\n',
    'steps:\n',
    '  - id: a\n',
    '    do: prove\n',
    'sources: {',
    'exposes: [mains]',
    '30 V',
    '\ud800',
  ],
);

describe('the loader', () => {
  test.prop(
    [
      fc.oneof(
        fc.string(),
        fc.string({ unit: 'binary' }),
        fc.array(piece, { maxLength: 60 }).map((all) => all.join('')),
      ),
    ],
    { numRuns: 300 },
  )('answers every text with a checklist or with problems, and never throws', (text) => {
    expectTold(text);
    expect(typeof applyTranslation(kiln, text).ok).toBe('boolean');
  });

  test.prop(
    [
      fc.constantFrom(lampText, kilnText, rangeText),
      fc.nat(),
      fc.nat(40),
      fc.array(piece, { maxLength: 3 }),
    ],
    { numRuns: 80 },
  )(
    'says something useful about a checklist with a piece cut out or put in',
    (text, at, length, pieces) => {
      const from = at % text.length;
      expectTold(text.slice(0, from) + pieces.join('') + text.slice(from + length));
    },
  );

  test.prop([fc.jsonValue({ maxDepth: 6 })], { numRuns: 200 })(
    'answers every JSON value',
    (json) => {
      expectTold(JSON.stringify(json));
      expectTold(stringify(json));
    },
  );

  test.prop([fc.constantFrom(lampText, kilnText), fc.nat(), fc.jsonValue({ maxDepth: 3 })], {
    numRuns: 60,
  })('answers a checklist with any value put in any place', (text, at, value) => {
    const json = parse(text) as unknown;
    const spots: [Record<string, unknown>, string][] = [];
    const walk = (inner: unknown): void => {
      if (typeof inner !== 'object' || inner === null) return;
      for (const key of Object.keys(inner)) {
        spots.push([inner as Record<string, unknown>, key]);
        walk((inner as Record<string, unknown>)[key]);
      }
    };
    walk(json);
    const [holder, key] = spots[at % spots.length] ?? [{}, ''];
    holder[key] = value;
    expectTold(stringify(json));
  });
});

/** Text without what is refused in words: halves of characters and marks that cannot be seen. */
// eslint-disable-next-line no-control-regex
const unseen = /[\u0000-\u0008\u000b-\u001f\u007f\u202a-\u202e\u2066-\u2069\ufeff]|\p{Surrogate}/u;
const plain = fc
  .string({ unit: 'grapheme' })
  .filter((text) => !unseen.test(text) && !['<<', '__proto__'].includes(text));
const { tree } = fc.letrec<{ tree: unknown }>((tie) => ({
  tree: fc.oneof(
    { depthSize: 'small', withCrossShrink: true },
    plain,
    fc.boolean(),
    fc.constant(null),
    fc.integer(),
    fc
      .double({ noNaN: true, noDefaultInfinity: true })
      .filter((value) => Math.abs(value) < 2 ** 53 && !Object.is(value, -0)),
    fc.array(tie('tree'), { maxLength: 5 }),
    fc.dictionary(plain, tie('tree'), { maxKeys: 5, noNullPrototype: true }),
  ),
}));

describe('reading YAML', () => {
  test.prop([tree], { numRuns: 300 })(
    'gives back what was written as JSON, which is YAML too',
    (json) => {
      const read = readYaml(JSON.stringify(json));
      if (json === null) expect(read).toMatchObject({ ok: true, json: null });
      else expect(read).toMatchObject({ ok: true, json });
    },
  );

  test.prop([fc.integer({ min: 1, max: 60 }), fc.integer({ min: 1, max: 60 })])(
    'knows the line and column of every value',
    (lines, indent) => {
      const text = `${'# line\n'.repeat(lines)}key:${' '.repeat(indent)}value\n`;
      const read = readYaml(text);
      expect(read.ok && read.places.ofValue(['key'])).toEqual({
        line: lines + 1,
        column: 5 + indent,
      });
      expect(read.ok && read.places.ofKey(['key'])).toEqual({ line: lines + 1, column: 1 });
    },
  );
});

describe('an author can add gates, never remove one', () => {
  const gates = new Set([
    'isolate',
    'lock',
    'release',
    'prove',
    'clear',
    'unlock',
    'restore',
    'close',
    'reseat',
    'sign',
    'find',
  ]);
  const texts = { lampText, kilnText, rangeText };
  for (const [name, text] of Object.entries(texts)) {
    const steps = checklistOf(text).steps;
    // What the author of the range added beyond the standing gates: a second proof, a second shake.
    const standing = steps.filter(
      ({ do: kind, id }) => gates.has(kind) && !['dead-block', 'shake-again'].includes(id),
    );
    test.each(standing.map(({ id }) => id))(`${name} without %s`, (id) => {
      const loaded = loadChecklist(withoutStep(text, id));
      expect(loaded.ok).toBe(false);
    });
  }
});
