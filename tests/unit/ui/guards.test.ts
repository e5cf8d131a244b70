import { expect, test } from 'vitest';
import { INTERLOCK_GUARDS, LAPSE_GUARDS, type Guard } from '#lib/core/prove/guards.ts';
import { gateWords, lapseWords, type GateWords } from '#lib/ui/words/of-guards.ts';
import english from '#lib/ui/words/en.json' with { type: 'json' };
import spanish from '#lib/ui/words/es.json' with { type: 'json' };

interface Told {
  readonly key: string;
  readonly guard: Guard;
  readonly words: GateWords | undefined;
}

const snake = (id: string) =>
  id.replaceAll('-', '_').replaceAll(/[A-Z]/gu, (letter) => `_${letter.toLowerCase()}`);

const told: readonly Told[] = [
  ...Object.entries(INTERLOCK_GUARDS).map(([id, guard]) => ({
    key: `guard_${snake(id)}`,
    guard,
    words: gateWords[id],
  })),
  ...Object.entries(LAPSE_GUARDS).map(([id, guard]) => ({
    key: `guard_lapse_${snake(id)}`,
    guard,
    words: lapseWords[id as keyof typeof lapseWords],
  })),
];

test.each(told)('$key: the page says what the core says, and says it in Spanish too', (each) => {
  const { key, guard, words } = each;
  expect((english as unknown as Record<string, string>)[key]).toBe(guard.stops);
  expect((spanish as unknown as Record<string, string>)[key]).toMatch(/^[A-ZÁÉÍÓÚ].+\.$/u);
  expect(words?.stops()).toBe(guard.stops);
  expect(words?.name().length).toBeGreaterThan(4);
});
