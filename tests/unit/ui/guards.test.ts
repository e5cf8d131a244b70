import { expect, test } from 'vitest';
import { INTERLOCK_GUARDS, LAPSE_GUARDS } from '#lib/core/prove/guards.ts';
import { gateWords, lapseWords } from '#lib/ui/words/of-guards.ts';
import english from '#lib/ui/words/en.json' with { type: 'json' };
import spanish from '#lib/ui/words/es.json' with { type: 'json' };

const told = [
  ...Object.entries(INTERLOCK_GUARDS).map(([id, guard]) => [id, guard, gateWords[id]] as const),
  ...Object.entries(LAPSE_GUARDS).map(([id, guard]) => [
    `lapse ${id}`,
    guard,
    lapseWords[id as keyof typeof lapseWords],
  ]),
] as const;

test.each(told)(
  '%s: the page says what the core says, and says it in Spanish too',
  (id, guard, words) => {
    const key = `guard_${id.replaceAll(/[- ]/gu, '_').replaceAll(/[A-Z]/gu, (letter) => `_${letter.toLowerCase()}`)}`;
    expect((english as unknown as Record<string, string>)[key]).toBe(guard.stops);
    expect((spanish as unknown as Record<string, string>)[key]).toMatch(/^[A-ZÁÉÍÓÚ].+\.$/u);
    expect(words?.stops()).toBe(guard.stops);
    expect(words?.name().length).toBeGreaterThan(4);
  },
);
