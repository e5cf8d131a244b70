import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { digestOf, examined, type Examined } from '../../lib/core/bag/examined.ts';
import type { Digested } from '../../lib/core/bag/bagit.ts';
import { contentsOf, openArchive } from '../../lib/core/bag/zip-reader.ts';
import { NOT_COMPUTED } from '../../lib/core/screen/finding.ts';
import { screen, type Screened } from '../../lib/core/screen/screen.ts';
import { LEARNING_JOBS } from '../../lib/core/screen/thresholds.ts';
import type { ScreenJob } from '../../lib/core/screen/trace.ts';
import { wordsOf } from '../../lib/core/screen/words.ts';
import { nodePrimitives } from '../../lib/crypto/node.ts';
import { readArguments } from '../arguments.ts';
import { sourceOnDisk } from '../file-on-disk.ts';
import { doesNotHold, holds, Unusable, type Io, type Verb } from '../verb.ts';

/** The bags named, and those in the folders named. */
function bagsIn(names: readonly string[]): string[] {
  return names.flatMap((name) => {
    if (!existsSync(name)) throw new Unusable(`There is no bag or folder ${name}.`);
    if (!statSync(name).isDirectory()) return [name];
    const bags = readdirSync(name)
      .filter((file) => file.toLowerCase().endsWith('.zip'))
      .toSorted();
    if (bags.length === 0) throw new Unusable(`The folder ${name} has no bag (.zip) in it.`);
    return bags.map((file) => join(name, file));
  });
}

/** @returns the job, or a sentence why the bag cannot be read */
async function jobIn(bag: string): Promise<ScreenJob | string> {
  const source = sourceOnDisk(bag);
  try {
    const archive = await openArchive(source);
    if (!archive.ok) return archive.flaw.says;
    const files = new Map<string, Digested>();
    for (const file of archive.value.files) {
      if (file.name.endsWith('/')) continue;
      const path = file.name.slice(file.name.indexOf('/') + 1);
      const open = () => contentsOf(source, file, nodePrimitives);
      const read = await digestOf(path, { path, size: file.size, open }, nodePrimitives, () => {});
      if (!read.ok) return read.flaw.says;
      files.set(path, read.value);
    }
    return jobOf(await examined(files, null, nodePrimitives));
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  } finally {
    source.close();
  }
}

function jobOf({ sealed, story, checklist }: Examined): ScreenJob | string {
  const job = sealed?.[0]?.entry.job;
  if (job === undefined || story === null) return 'Its record cannot be read whole.';
  return checklist.ok ? { job, checklist: checklist.value, events: story } : checklist.flaw.says;
}

function tell(io: Io, { jobs, thresholds, findings }: Screened): void {
  io.print(
    thresholds.learned
      ? `${jobs} jobs. The thresholds were learned from the first ${thresholds.jobs}.`
      : `${jobs} jobs. The thresholds are starting values; a crew's own are learned from its first ${LEARNING_JOBS} jobs.`,
  );
  io.print('Each line is a question to a person, never a verdict. Nothing was verified here.');
  for (const finding of findings) {
    const { asks, innocent, next } = wordsOf(finding, 'en');
    io.print(`\n${finding.rule} (${finding.weight})  job ${finding.job}, ${finding.person}`);
    io.print(`  ${asks}`);
    if (finding.steps.length > 0) io.print(`  Steps: ${finding.steps.join(', ')}.`);
    io.print(`  May be: ${innocent} Next: ${next}`);
  }
  if (findings.length === 0) io.print('No second looks.');
}

/** The second looks over many records. */
export default {
  summary: 'asks for second looks at what stands out among many records',
  usage: 'screen BAG-OR-FOLDER… [--json]',
  example: 'stillwire screen bags',
  details: ['BAG-OR-FOLDER  evidence bags, and folders of them; verify tells whether one holds'],
  async run(args, io) {
    const { positionals, json } = readArguments(args, {});
    if (positionals.length === 0) throw new Unusable('Give bags or folders: screen BAG-OR-FOLDER…');
    const bags = bagsIn(positionals);
    const jobs: ScreenJob[] = [];
    const unread: { file: string; says: string }[] = [];
    for (const [at, file] of bags.entries()) {
      io.progress(`${at + 1} of ${bags.length}`);
      const read = await jobIn(file);
      if (typeof read === 'string') unread.push({ file, says: read });
      else if (!jobs.some(({ job }) => job === read.job)) jobs.push(read);
    }
    const found = screen(jobs);
    if (json) io.printJson(documentOf(found, unread));
    else tell(io, found);
    for (const { file, says } of unread) io.complain(`${file} was not screened: ${says}`);
    return unread.length === 0 ? holds : doesNotHold;
  },
} satisfies Verb;

function documentOf({ jobs, thresholds, findings }: Screened, unread: readonly object[]): object {
  return {
    ok: unread.length === 0,
    jobs,
    thresholds: { ...thresholds, floors: Object.fromEntries(thresholds.floors) },
    findings: findings.map((finding) => {
      const { asks: says, ...words } = wordsOf(finding, 'en');
      const { asks: es } = wordsOf(finding, 'es');
      return { ...finding, says, ...words, es };
    }),
    notComputed: NOT_COMPUTED,
    unread,
  };
}
