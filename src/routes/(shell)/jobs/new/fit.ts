/** Whether a meter may be used on what a list works at, asked before the job is opened. */
import type { Instrument } from '#lib/core/job/events.ts';
import { fitSays } from '#lib/ui/words/of-meters.ts';

/** Every reason against this meter on the sources of this list, in words; empty when there is none. */
export async function whyUnfit(card: Instrument, text: string): Promise<readonly string[]> {
  const [{ loadChecklist }, { fitFor }, { parseQuantity }, { rangeProblem }] = await Promise.all([
    import('#lib/core/checklist/load.ts'),
    import('#lib/core/measure/instrument.ts'),
    import('#lib/core/measure/quantity.ts'),
    import('#lib/core/measure/meter-ranges.ts'),
  ]);
  const loaded = loadChecklist(text, 'form');
  if (!loaded.ok) return [];
  const today = new Date();
  const date = [today.getFullYear(), today.getMonth() + 1, today.getDate()]
    .map((part) => String(part).padStart(2, '0'))
    .join('-');
  const said = new Set<string>();
  if ((card.ranges ?? []).some((range) => rangeProblem(range) !== null))
    said.add(fitSays('bad-range', card, { category: '', volts: '' }));
  for (const { dead, nominal } of Object.values(loaded.checklist.sources)) {
    if (dead?.category === undefined) continue;
    const volts = parseQuantity(nominal ?? '');
    const place = { category: dead.category, volts: volts.ok ? volts.quantity.si : 0 };
    for (const { code } of fitFor(card, place.category, place.volts, date))
      said.add(fitSays(code, card, { category: place.category, volts: String(place.volts) }));
  }
  return [...said];
}
