/** How plainly Spanish is written: syllables by the published rules, one act a step, a scale. */
import { describe, expect, test } from 'vitest';
import { secondAct } from '#lib/core/checklist/second-act.ts';
import {
  perspicuity,
  PLAIN_PERSPICUITY,
  syllablesOf,
} from '#lib/core/checklist/spanish-reading.ts';
import { applyTranslation } from '#lib/core/checklist/translation.ts';
import { changed, checklistOf, checklistText } from '../../../support/checklist-texts.ts';

describe('syllables', () => {
  // Divisions after the Ortografía de la lengua española (RAE and ASALE, 2010), chapter on diphthongs,
  // triphthongs and hiatus; the words from memory of its kind of example.
  test.each([
    ['pan', 1],
    ['muy', 1],
    ['buey', 1],
    ['país', 2],
    ['ciudad', 2],
    ['lluvia', 2],
    ['construir', 2],
    ['quien', 1],
    ['guía', 2],
    ['guerra', 2],
    ['aéreo', 4],
    ['leído', 3],
    ['averigüéis', 4],
    ['prohibir', 2],
    ['búho', 2],
    ['teatro', 3],
    ['electricidad', 5],
    ['tomacorriente', 5],
    ['12', 0],
  ])('%s: %i', (word, count) => {
    expect(syllablesOf(word)).toBe(count);
  });
});

describe('perspicuity', () => {
  // By hand, 206.835 - 62.3 S/P - P/F (Szigriszt Pazos 1993): Un candado, una llave, una persona; la
  // llave se queda. 1 3 2 2 2 3 | 1 2 1 2: ten words, 19 syllables, one sentence.
  test('is the published formula', () => {
    const text = 'Un candado, una llave, una persona; la llave se queda.';
    expect(perspicuity(text)).toBeCloseTo(206.835 - 62.3 * 1.9 - 10, 6);
  });

  test('says nothing about a few words', () => {
    expect(perspicuity('Considerablemente termodinámico.')).toBe(100);
  });

  test('tells plain words from hard ones', () => {
    const plain = 'Un candado lo quita la mano que lo colgó en la caja.';
    const hard =
      'La verificación instrumental correspondiente requiere documentación administrativa previamente autorizada.';
    expect(perspicuity(plain)).toBeGreaterThan(55);
    expect(perspicuity(hard)).toBeLessThan(PLAIN_PERSPICUITY);
  });
});

describe('a second act', () => {
  test.each([
    ['Quite la tapa y cuente los tornillos.', 'cuente los tornillos'],
    ['Saque el cable, y márquelo en la foto.', 'márquelo en la foto'],
    ['Levante la tapa, luego apoye el puntal.', 'apoye el puntal'],
    ['Quite la tapa; guarde los tornillos.', 'guarde los tornillos'],
  ])('%s', (say, second) => {
    expect(secondAct(say, 'es')).toBe(second);
  });

  test.each([
    'Cuelgue su candado y su tarjeta en el disyuntor.',
    'Mida entre una pata y una tierra.',
    'Diga al cliente qué se encontró, qué se rechazó y qué no debe tocar.',
  ])('there is none in: %s', (say) => {
    expect(secondAct(say, 'es')).toBeNull();
  });

  test('other languages are left alone', () => {
    expect(secondAct('Retirez le capot. Comptez les vis.', 'fr')).toBeNull();
  });
});

test('a translation is reviewed in its own words, at their line', () => {
  const original = checklistOf(checklistText('fryer-element.yaml', 'shipped'));
  const spanish = changed(
    checklistText('fryer-element.es.yaml', 'shipped'),
    'say: Enganche de nuevo el cable de retención a la pared.',
    'say: Enganche de nuevo el cable de retención y empuje la freidora.',
  );
  const translated = applyTranslation(original, spanish);
  if (!translated.ok) throw new Error('unexpected');
  const line = spanish.split('\n').findIndex((text) => text.includes('y empuje la freidora')) + 1;
  expect(translated.advice).toEqual([
    expect.objectContaining({
      line,
      path: 'steps.restraint-on.say',
      says: 'restraint-on says two things; make “empuje la freidora” a step of its own, or drop it.',
    }),
  ]);
});
