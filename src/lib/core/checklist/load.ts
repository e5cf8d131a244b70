/**
 * Reads a checklist: text in, a checked checklist or every problem out. Never throws.
 *
 * `yaml` and the schema are large; what shows a running job takes the checklist ready and leaves this
 * file alone, or imports it when it is asked to read one.
 */
import { reviewSuspects } from '../measure/suspects-review.ts';
import { draftOf, isReadable } from './draft.ts';
import { checkEnds } from './ends.ts';
import { checkGates } from './gates.ts';
import { checkWindows } from './live-windows.ts';
import type { Checklist, Problem } from './model.ts';
import { checkNames } from './names.ts';
import { withPlainWords } from './plain-words.ts';
import type { Places } from './place.ts';
import { Problems } from './place.ts';
import { checkQuantities } from './quantities.ts';
import { readYaml } from './read-yaml.ts';
import { readShape } from './shape.ts';

export type Loaded =
  | {
      readonly ok: true;
      readonly checklist: Checklist;
      /** What was read, before anything was made of it: the identity is taken of this. */
      readonly json: unknown;
      /** Where everything stands, for advice. */
      readonly places: Places;
    }
  | { readonly ok: false; readonly problems: readonly Problem[] };

/**
 * How far a file is looked at. `form` stops at what makes it readable: the engine and the prover take a
 * checklist whose gates do not hang together, hold its standing interlocks, and show where it ends.
 */
export type Depth = 'whole' | 'form';

export function loadChecklist(text: string, depth: Depth = 'whole'): Loaded {
  const read = readYaml(text);
  if (!read.ok) return read;
  const { json, places } = read;
  const problems = new Problems(places);
  const draft = draftOf(json);
  const checklist = readShape(withPlainWords(json), problems);
  const shape = problems.count;
  checkNames(draft, problems);
  if (depth === 'whole' && problems.count === shape && isReadable(draft)) {
    checkGates(draft, problems);
    checkEnds(draft, problems);
    checkWindows(draft, problems);
  }
  if (checklist !== null) {
    for (const { path, at, says } of reviewSuspects(checklist))
      problems.atKey(at ?? path.split('.'), says);
  }
  checkQuantities(draft, problems);
  if (checklist === null || problems.count > 0) return { ok: false, problems: problems.list() };
  return { ok: true, checklist, json, places };
}
