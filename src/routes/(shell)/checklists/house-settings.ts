/** What a firm asks of one step of its own list, judged and put into the text; or why not. */
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { withEditsPut } from '#lib/core/checklist/put-edits.ts';
import { editsBetween } from '#lib/core/checklist/revision-edits.ts';
import {
  missingLanguages,
  readHouseFile,
  withHouseLimits,
} from '#lib/core/measure/house-limits.ts';
import type { HouseAnswer, HouseAsked } from '#lib/ui/editor/house.ts';

const given = (value: string) => (value.trim() === '' ? undefined : value.trim());

/** Without the fields that were left empty. */
const filled = (block: Readonly<Record<string, unknown>>) =>
  Object.fromEntries(Object.entries(block).filter(([, value]) => value !== undefined));

export function settled(
  text: string,
  asked: HouseAsked,
  issued: string,
): HouseAnswer & { readonly text?: string } {
  const loaded = loadChecklist(text);
  if (!loaded.ok) return { refused: [loaded.problems[0]?.says ?? ''], applied: [] };
  const { id, language } = loaded.checklist;
  const people = given(asked.people);
  const limits = filled({ least: given(asked.least), most: given(asked.most) });
  const rules = filled({
    keeps: given(asked.keeps),
    unless: asked.unless === '' ? undefined : [asked.unless],
    people: people === undefined ? undefined : Number(people),
  });
  const read = readHouseFile({
    ...{ format: 1, firm: asked.firm, officer: asked.officer, issued },
    limits: Object.keys(limits).length === 0 ? {} : { [id]: { [asked.step]: limits } },
    rules: Object.keys(rules).length === 0 ? {} : { [id]: { [asked.step]: rules } },
    languages: asked.languages.split(/[ ,]+/u).filter((code) => code !== ''),
  });
  if (!read.ok) {
    return { refused: read.problems.map(({ path, says }) => `${path}: ${says}`), applied: [] };
  }
  const housed = withHouseLimits(loaded.checklist, read.file);
  const refused = [...housed.refused, ...missingLanguages(read.file, [language])];
  if (refused.length > 0) return { refused: refused.map(({ says }) => says), applied: [] };
  const edits = editsBetween(loaded.checklist, housed.checklist) ?? [];
  const applied = housed.applied.map(
    ({ step, before, now }) => `${step}: ${now}, before ${before}`,
  );
  return { refused: [], applied, text: withEditsPut(text, edits) };
}
