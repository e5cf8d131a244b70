/** Advice on a checklist that is right: nothing here keeps it from being used. */
import { parseQuantity } from '../measure/quantity.ts';
import { draftOf } from './draft.ts';
import type { Checklist, Problem, Source, Step, StepKind } from './model.ts';
import { checkReferences } from './names.ts';
import { stepsWithoutWords } from './plain-words.ts';
import { Places, Problems, type Path } from './place.ts';
import { reviewNeeds, reviewProven } from './review-gates.ts';
import { reviewStepWords } from './review-words.ts';

interface Reviewed {
  readonly checklist: Checklist;
  readonly advice: Problems;
}

/** What only the file shows: its name, references that it cites, steps that leave their words out. */
function reviewRead(
  { json, file }: { readonly json?: unknown; readonly file?: string },
  advice: Problems,
): void {
  if (json === undefined) return;
  const draft = draftOf(json);
  checkReferences(draft, advice);
  for (const step of stepsWithoutWords(json)) {
    advice.atValue(['steps', step], 'This step has no words of its own; give it a say.');
  }
  const stem = file?.replace(/^.*[\\/]/u, '').replace(/\.ya?ml$/u, '');
  if (stem !== undefined && draft.json.id !== stem) {
    const says = `The id is ${String(draft.json.id)} and the file is named ${stem}; one name is better.`;
    advice.atValue(['id'], says);
  }
}

/** `places` are those that the loader gave; without them every line is 1. */
export function reviewChecklist(
  checklist: Checklist,
  places = new Places(),
  read: { readonly json?: unknown; readonly file?: string } = {},
): Problem[] {
  const advice = new Problems(places);
  reviewRead(read, advice);
  const reviewed = { checklist, advice };
  for (const [id, source] of Object.entries(checklist.sources)) reviewSource(id, source, reviewed);
  checklist.steps.forEach((step, at) => {
    const path = ['steps', at];
    reviewStep(step, path, reviewed);
    reviewLimit(step, path, reviewed);
    reviewReading(step, path, reviewed);
  });
  reviewCautions(reviewed);
  reviewUnused(reviewed);
  reviewCount(reviewed);
  reviewNeeds(checklist, advice);
  reviewProven(checklist, advice);
  return advice.list();
}

/** Without a step for it the count is asked with the first proof: late, and among other figures. */
function reviewCount({ checklist, advice }: Reviewed): void {
  const proof = checklist.steps.findIndex((step) => step.do === 'prove');
  const counts = checklist.steps.some((step) => step.do === 'confirm' && step.counts === 'sources');
  if (proof < 0 || counts) return;
  const says = `Give the count of the sources a step of its own above ${checklist.steps[proof]?.id}: confirm, counts: sources.`;
  advice.atKey(['steps', proof, 'do'], says);
}

/** Energies whose going is measured; nobody sees a charge. */
const MEASURED = new Set(['charge', 'thermal', 'pressure', 'gas']);
/** Ten minutes of contact burn at this (ISO 13732-1, from a secondary text). */
const TOUCH_LIMIT = 48;
const USUAL_DEAD = 2;

function reviewSource(id: string, source: Source, { checklist, advice }: Reviewed): void {
  const path: Path = ['sources', id];
  const { release } = source;
  if (release !== undefined) {
    const [form = '', what] = Object.entries(release)[0] ?? [];
    const cited = what as { below?: string; limit?: string; reference?: string };
    const at = [...path, 'release', form];
    if (cited.below !== undefined && cited.limit === undefined) {
      advice.atKey(
        at,
        `The limit ${cited.below} has no origin; say limit: code, maker, house or default.`,
      );
    }
    adviseReference(cited, at, advice);
    if (form === 'stated' && MEASURED.has(source.kind)) {
      advice.atKey(at, `${id} is let go by a look or a wait alone; measure what is left.`);
    }
    const below = form === 'cool' ? siOf(cited.below) : null;
    if (below !== null && below > TOUCH_LIMIT) {
      advice.atKey(
        at,
        `${cited.below} is above ${TOUCH_LIMIT} °C, where ten minutes of contact burn (ISO 13732-1).`,
      );
    }
  }
  const dead = siOf(source.dead?.below);
  if (dead !== null && dead > USUAL_DEAD) {
    advice.atKey(
      [...path, 'dead', 'below'],
      `${source.dead?.below} is a wide limit for dead; ${USUAL_DEAD} V is usual.`,
    );
  }
  const touched = checklist.steps.some((step) => step.exposes?.includes(id) === true);
  if (!touched) {
    advice.atKey(
      path,
      `No step exposes a person to ${id}; either it is no danger here, or a step forgets to say so.`,
    );
  }
}

function siOf(text: string | undefined): number | null {
  const read = text === undefined ? null : parseQuantity(text);
  return read?.ok === true ? read.quantity.si : null;
}

function adviseReference(
  cited: { limit?: string; reference?: string },
  path: Path,
  advice: Problems,
) {
  if (cited.reference !== undefined) return;
  if (cited.limit === 'code' || cited.limit === 'maker') {
    advice.atKey(
      path,
      `The limit comes from the ${cited.limit} and no reference says where; cite it.`,
    );
  }
}

/** Steps that a gate waits for: whoever is held up is told why. */
const GATES = new Set<StepKind>([
  'find',
  'case',
  'isolate',
  'lock',
  'release',
  'prove',
  'clear',
  'unlock',
  'window',
]);

function reviewStep(step: Step, path: Path, { checklist, advice }: Reviewed): void {
  reviewStepWords(step, path, checklist.language, advice);
  if (step.takes === undefined && step.do !== 'sign') {
    advice.atKey(
      [...path, 'id'],
      `${step.id} has no takes; without the least honest time a rushed record cannot be told.`,
    );
  }
  if (step.why === undefined && GATES.has(step.do)) {
    advice.atKey(
      [...path, 'id'],
      `${step.id} is a gate and does not say why; people keep rules that they understand.`,
    );
  }
}

const LIMITED = new Set<StepKind>(['case', 'prove', 'contacts']);

function reviewLimit(step: Step, path: Path, { advice }: Reviewed): void {
  const judged = LIMITED.has(step.do) || (step.do === 'reading' && step.accept !== undefined);
  if (judged && step.limit === undefined) {
    advice.atKey(
      [...path, 'do'],
      `${step.id} judges by a limit without origin; say limit: code, maker, house or default.`,
    );
  }
  adviseReference(step as { limit?: string; reference?: string }, [...path, 'limit'], advice);
}

const ON_DEAD_ONLY = new Set(['resistance', 'insulation', 'capacitance']);

function reviewReading(step: Step, path: Path, { checklist, advice }: Reviewed): void {
  if (step.twice === true && (step.people ?? 1) < 2) {
    advice.atKey(
      [...path, 'twice'],
      `${step.id} wants a second hand; say people: 2, so that it is known on arrival.`,
    );
  }
  if (step.do === 'window' && step.wet === true) {
    advice.atKey(
      [...path, 'wet'],
      `${step.id} can never open, since the machine is wet; take the window out.`,
    );
  }
  if (step.do !== 'reading') return;
  if (step.accept === undefined) {
    advice.atKey([...path, 'do'], `${step.id} reads and accepts anything; say what it has to be.`);
  }
  const hot = step.exposes?.some((id) => checklist.sources[id]?.kind === 'electrical') === true;
  if (ON_DEAD_ONLY.has(step.quantity) && !hot) {
    advice.atKey(
      [...path, 'do'],
      `${step.id} reads ${step.quantity} and exposes no electrical source; on a machine it needs the proof of dead.`,
    );
  }
}

/** A warning that first comes with the second exposure comes too late. */
function reviewCautions({ checklist, advice }: Reviewed): void {
  const grave = (step: Step) =>
    step.cautions?.some(({ signal }) => signal === 'danger' || signal === 'warning') === true;
  const about = (step: Step, id: string) =>
    step.exposes?.includes(id) === true || ('source' in step && step.source === id);
  for (const id of Object.keys(checklist.sources)) {
    const first = checklist.steps.findIndex((step) => step.exposes?.includes(id) === true);
    const late = checklist.steps.findIndex(
      (step, at) => at > first && grave(step) && about(step, id),
    );
    const before = checklist.steps.some(
      (step, at) => at <= first && grave(step) && about(step, id),
    );
    if (first < 0 || late < 0 || before) continue;
    const says = `${checklist.steps[late]?.id} warns of ${id}, which ${checklist.steps[first]?.id} has already exposed; warn there.`;
    advice.atKey(['steps', late, 'cautions'], says);
  }
}

function reviewUnused({ checklist, advice }: Reviewed): void {
  const cited = new Set(citations(checklist));
  for (const id of Object.keys(checklist.references)) {
    if (!cited.has(id))
      advice.atKey(
        ['references', id],
        `Nothing cites ${id}; cite it where it holds, or take it out.`,
      );
  }
  for (const id of Object.keys(checklist.ends)) {
    if (!checklist.steps.some((step) => step.do === 'open' && step.end === id)) {
      advice.atKey(['ends', id], `No step opens ${id}; take it out, or open and close it.`);
    }
  }
  const asked = new Set(
    checklist.steps.flatMap((step) => [...(step.wearing ?? []), ...(step.bare ?? [])]),
  );
  const needed = new Set(checklist.steps.flatMap((step) => step.needs ?? []));
  checklist.steps.forEach((step, at) => {
    if (step.do !== 'wear' || needed.has(step.id)) return;
    if ([...(step.on ?? []), ...(step.off ?? [])].some((item) => asked.has(item))) return;
    advice.atKey(
      ['steps', at, 'do'],
      `Nothing asks for what ${step.id} puts on or takes off; name it under wearing, bare or needs.`,
    );
  });
}

/** Every word under a key `reference`. */
function citations(value: unknown): string[] {
  if (Array.isArray(value)) return value.flatMap(citations);
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) =>
    key === 'reference' && typeof inner === 'string' ? [inner] : citations(inner),
  );
}
