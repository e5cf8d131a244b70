import { readFileSync } from 'node:fs';
import { parse, stringify } from 'yaml';
import { loadChecklist } from '../../lib/core/checklist/load.ts';
import {
  missingLanguages,
  readHouseFile,
  withHouseLimits,
  type HouseFile,
} from '../../lib/core/measure/house-limits.ts';
import { readArguments } from '../arguments.ts';
import { languagesOf, loadFile } from '../checklist-file.ts';
import { doesNotHold, holds, Unusable, type Verb } from '../verb.ts';

/** @throws Unusable with every problem of the file */
function houseFile(path: string): HouseFile {
  let value: unknown;
  try {
    value = parse(readFileSync(path, 'utf8'));
  } catch (error) {
    throw new Unusable(`${path} cannot be read: ${error instanceof Error ? error.message : ''}`);
  }
  const read = readHouseFile(value);
  if (read.ok) return read.file;
  throw new Unusable(
    read.problems.map((each) => `${path}: ${each.path}: ${each.says}.`).join('\n'),
  );
}

/** The list of a firm: the shipped one with the officer's limits and rules in it, each with its origin. */
export default {
  summary: 'writes the limits and rules of a firm into a checklist, stricter only',
  usage: 'house CHECKLIST LIMITS [--json]',
  example: 'stillwire house checklists/range-door-lock.yaml limits.yaml',
  details: [
    'LIMITS is YAML: format, firm, officer, issued; limits by list and step (least, most); rules by list and',
    'step (keeps, unless, people); languages that the list has to have words in.',
    'The list with the house limits goes to standard output; nothing is written over.',
  ],
  run(args, io) {
    const { positionals, json } = readArguments(args, {});
    const [list, limits, more] = positionals;
    if (list === undefined || limits === undefined || more !== undefined)
      throw new Unusable('Name a checklist and a file of limits: house CHECKLIST LIMITS.');
    const { checklist } = loadFile(list);
    const firm = houseFile(limits);
    const { checklist: housed, applied, refused: laxer } = withHouseLimits(checklist, firm);
    const refused = [...laxer, ...missingLanguages(firm, languagesOf(list, checklist))];
    const text = stringify(housed, { lineWidth: 110 });
    const again = loadChecklist(text);
    if (!again.ok) throw new Unusable(again.problems.map(({ says }) => says).join('\n'));
    if (json) {
      io.printJson({ ok: refused.length === 0, id: checklist.id, applied, refused });
    } else {
      for (const { path, says } of refused) io.complain(`${limits}: ${path}: ${says}`);
      for (const { step, before, now } of applied) io.complain(`${step}: ${now}, before ${before}`);
      if (refused.length === 0) io.print(text.trimEnd());
    }
    return Promise.resolve(refused.length === 0 ? holds : doesNotHold);
  },
} satisfies Verb;
