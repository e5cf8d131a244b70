import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { readTrust, type KeyList } from '../../lib/core/bag/keys.ts';
import { compareBags, holdTogether, type Comparison } from '../../lib/core/bag/compare.ts';
import type { BagReport } from '../../lib/core/bag/summary.ts';
import { verifyBag, verifyUnpacked, type VerifyOptions } from '../../lib/core/bag/verify-bag.ts';
import { nodePrimitives, pooledPrimitives } from '../../lib/crypto/node.ts';
import { checkTimestamp } from '../../lib/crypto/timestamps.ts';
import { readArguments } from '../arguments.ts';
import { fileOnDisk, sourceOnDisk } from '../file-on-disk.ts';
import { doesNotHold, holds, Unusable, type Io, type Verb } from '../verb.ts';

function trustIn(file: string | undefined): KeyList | null {
  if (file === undefined) return null;
  let bytes: Uint8Array;
  try {
    bytes = readFileSync(file);
  } catch {
    throw new Unusable(`There is no list of keys ${file} to trust.`);
  }
  const read = readTrust(bytes, nodePrimitives);
  if (!read.ok) throw new Unusable(`${file} is no list of keys. ${read.flaw.says}`);
  return read.value;
}

async function verify(
  bag: string,
  trust: KeyList | null,
  options: VerifyOptions,
): Promise<BagReport> {
  const there = statSync(bag, { throwIfNoEntry: false });
  if (there === undefined) throw new Unusable(`There is no bag ${bag}.`);
  if (there.isDirectory()) {
    const files = readdirSync(bag, { recursive: true, withFileTypes: true })
      .filter((item) => !item.isDirectory())
      .map((item) => {
        const full = join(item.parentPath, item.name);
        if (!item.isFile())
          throw new Unusable(`${full} is a link or a device; a bag has only files.`);
        return fileOnDisk(full.slice(join(bag, '/').length).replaceAll('\\', '/'), full);
      });
    return verifyUnpacked(files, trust, pooledPrimitives, options);
  }
  const source = sourceOnDisk(bag);
  try {
    return await verifyBag(source, trust, pooledPrimitives, options);
  } finally {
    source.close();
  }
}

const SIGNS = { held: 'held   ', failed: 'FAILED ', notRun: 'not run' } as const;

function tell(io: Io, report: BagReport): void {
  io.print(report.says);
  const { job } = report;
  if (job !== null) {
    const { title, id, revision } = job.checklist;
    const demonstration = job.demonstration ? ' This is a demonstration.' : '';
    io.print(
      `Job ${job.id}: ${title ?? id} (revision ${revision}), ${job.entries} entries from ${job.opened} to ${job.last}.${demonstration}`,
    );
  }
  io.print('');
  const width = Math.max(...report.checks.map(({ id }) => id.length));
  for (const { id, status, says } of report.checks) {
    io.print(`${SIGNS[status]}  ${id.padEnd(width)}  ${says}`);
  }
  const others = report.findings.filter(({ fails }) => !fails);
  if (others.length > 0) io.print('\nWorth knowing:');
  for (const { check, says, where } of others) {
    io.print(`  ${check}: ${says}${where === undefined ? '' : ` (${where})`}`);
  }
}

/** What stands beside the checks when there is another bag to hold against the first. */
interface Against {
  readonly comparison: Comparison;
  readonly report: BagReport;
}

async function heldAgainst(
  first: BagReport,
  bag: string,
  trust: KeyList | null,
  options: VerifyOptions,
): Promise<Against> {
  const report = await verify(bag, trust, options);
  return { report, comparison: compareBags(first, report) };
}

function tellAgainst(io: Io, bag: string, { comparison, report }: Against): void {
  io.print(`\nAgainst ${bag}: ${report.says}`);
  for (const { id, status, says } of report.checks) {
    if (status === 'failed') io.print(`${SIGNS[status]}  ${id}  ${says}`);
  }
  io.print(comparison.says);
}

/** Verifies an evidence bag, packed or unpacked. */
export default {
  summary: 'verifies an evidence bag, and holds it against another of the job',
  usage: 'verify BAG [--against BAG] [--trust KEYS.json] [--json]',
  example: 'stillwire verify my-record.zip --trust keys.json',
  details: [
    'BAG                the archive, or the folder that it was unpacked to',
    '--against BAG      verifies this one too; holds only if one of the two continues the other',
    '--trust KEYS.json  whose keys, logs and time-stamping authorities to believe',
  ],
  async run(args, io) {
    const { positionals, values, json } = readArguments(args, {
      trust: { type: 'string' },
      against: { type: 'string' },
    });
    const [bag, more] = positionals;
    if (bag === undefined || more !== undefined) throw new Unusable('Give one bag: verify BAG.');
    const trust = trustIn(values.trust);
    let shown = 0;
    const options: VerifyOptions = {
      checkToken: checkTimestamp,
      progress(done, all) {
        const percent = Math.floor((done / all) * 100);
        if (percent !== shown) io.progress(`${(shown = percent)} %`);
      },
    };
    const report = await verify(bag, trust, options);
    const other = values.against;
    const against = other === undefined ? null : await heldAgainst(report, other, trust, options);
    if (json) io.printJson(documentOf(report, against));
    else tell(io, report);
    if (!json && against !== null) tellAgainst(io, other ?? '', against);
    const both =
      against === null ? report.ok : holdTogether(report, against.report, against.comparison);
    return both ? holds : doesNotHold;
  },
} satisfies Verb;

function documentOf(report: BagReport, against: Against | null = null): object {
  const { ok, conclusion, says, checks, job, findings } = report;
  return {
    ok,
    conclusion,
    says,
    checks: checks.map(({ id, status, says: why, findings: found }) => {
      const where = found.find(({ fails }) => fails)?.where;
      return { id, status, says: why, ...(where === undefined ? {} : { where }) };
    }),
    job,
    findings,
    ...(against === null
      ? {}
      : { against: documentOf(against.report), comparison: against.comparison }),
  };
}
