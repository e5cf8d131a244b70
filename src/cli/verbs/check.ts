import { checkFile, filesOf, type Checked } from '../checklist-file.ts';
import { readArguments } from '../arguments.ts';
import { doesNotHold, holds, Unusable, type Io, type Verb } from '../verb.ts';
import type { Problem } from '../../lib/core/checklist/model.ts';

function tell(io: Io, { file, ok, id, sha256, language, problems, advice }: Checked): void {
  const line = (kind: string) => (found: Problem) => {
    const where = found.path === '' ? '' : ` ${found.path}`;
    io.print(`${file}:${found.line}:${found.column}: ${kind}${where}: ${found.says}`);
  };
  problems.forEach(line('problem'));
  advice.forEach(line('advice'));
  const many = (count: number, what: string) => `${count} ${what}${count === 1 ? '' : 's'}`;
  const what = language === undefined ? id : `${id} in ${language}`;
  io.print(
    ok
      ? `${file}: ${what} can be used, with ${advice.length} pieces of advice. Identity ${sha256}.`
      : `${file}: ${many(problems.length, 'problem')}; it cannot be used.`,
  );
}

/** Reads checklists and translations against the format, and reviews them. */
export default {
  summary: 'reads checklists against the format and reviews them',
  usage: 'check FILE… [--json]',
  example: 'stillwire check checklists/range-door-lock.yaml',
  details: [
    'A folder stands for every .yaml in it; NAME.es.yaml is read as a translation of NAME.yaml.',
    'A problem makes the exit status 1; advice does not.',
  ],
  run(args, io) {
    const { positionals, json } = readArguments(args, {});
    if (positionals.length === 0) throw new Unusable('Name at least one checklist: check FILE….');
    const files = filesOf(positionals).map(checkFile);
    const ok = files.every((file) => file.ok);
    if (json) io.printJson({ ok, files });
    else for (const file of files) tell(io, file);
    return Promise.resolve(ok ? holds : doesNotHold);
  },
} satisfies Verb;
