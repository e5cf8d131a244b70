import { outlineOf, type Outline } from '../../lib/core/checklist/outline.ts';
import { readArguments } from '../arguments.ts';
import { loadFile } from '../checklist-file.ts';
import { holds, Unusable, type Io, type Verb } from '../verb.ts';

function tell(io: Io, outline: Outline): void {
  io.print(`${outline.title} (${outline.id}, revision ${outline.revision}, ${outline.language})`);
  io.print(`Identity ${outline.sha256}`);
  io.print('\nSources');
  for (const [id, source] of Object.entries(outline.sources)) {
    const nominal = source.nominal === undefined ? '' : `, ${source.nominal}`;
    io.print(`  ${id}: ${source.label} (${source.kind}${nominal})`);
    for (const [point, { label, by, control }] of Object.entries(source.points)) {
      io.print(`    cut at ${point}: ${label} (${by}, ${control})`);
    }
    if (source.pairs.length > 0) io.print(`    proved dead on ${source.pairs.join(', ')}`);
    if (source.release !== 'none') io.print(`    let go by: ${source.release}`);
  }
  io.print('\nEnds');
  for (const [id, { label, kind }] of Object.entries(outline.ends)) {
    io.print(`  ${id}: ${label} (${kind})`);
  }
  let phase = '';
  outline.steps.forEach((step, at) => {
    if (step.phase !== phase) io.print(`\n${step.phase}`);
    phase = step.phase;
    const list = (word: string, items: readonly string[] | undefined) =>
      items === undefined || items.length === 0 ? '' : `; ${word} ${items.join(', ')}`;
    const waits =
      list('needs', step.needs) + list('exposes', step.exposes) + list('wearing', step.wearing);
    const about = [step.source, step.point, step.end]
      .filter((name) => name !== undefined)
      .join(' ');
    io.print(`  ${at + 1}. ${step.id}: ${step.do}${about === '' ? '' : ` ${about}`}${waits}`);
  });
  if (outline.toReview.length > 0) {
    io.print(`\nTo be reviewed by a qualified person before use: ${outline.toReview.join(', ')}`);
  }
}

/** The checked model of one checklist. */
export default {
  summary: 'shows the sources, points, steps and gates of a checklist',
  usage: 'outline CHECKLIST [--json]',
  example: 'stillwire outline checklists/range-door-lock.yaml',
  run(args, io) {
    const { positionals, json } = readArguments(args, {});
    const [file, more] = positionals;
    if (file === undefined || more !== undefined) {
      throw new Unusable('Name one checklist: outline CHECKLIST.');
    }
    const { checklist, sha256 } = loadFile(file);
    const outline = outlineOf(checklist, sha256);
    if (json) io.printJson(outline);
    else tell(io, outline);
    return Promise.resolve(holds);
  },
} satisfies Verb;
