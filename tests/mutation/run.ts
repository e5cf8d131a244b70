/**
 * Runs the tests of the rules against each mutant and says which of them nobody noticed.
 *
 *     npm run mutate -- removal | condition [EXPRESSION FOR THE NAMES]
 *
 * Ends with 1 when a mutant survives that DEVELOPERS.md does not name; takes minutes.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { stripVTControlCharacters } from 'node:util';
import { INTERLOCKS } from '../../src/lib/core/job/interlocks.ts';
import { LAPSE_GUARDS } from '../../src/lib/core/prove/guards.ts';
import { PROPERTY_IDS } from '../../src/lib/core/safety/index.ts';
import { conditions, removals, type Mutant } from './mutants.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const scratch = mkdtempSync(join(tmpdir(), 'mutants-'));
const VITEST = ['node_modules/vitest/vitest.mjs', 'run', '-c', 'tests/mutation/vitest.config.ts'];

/** Whether some of these tests fails. @throws when they could not be run at all */
function failsIn(mutant: Mutant, tests: readonly string[]): boolean {
  const place = join(scratch, 'mutant.json');
  writeFileSync(place, JSON.stringify(mutant));
  const env = { ...process.env, STILLWIRE_MUTANT: place };
  const ran = spawnSync(process.execPath, [...VITEST, ...tests], {
    cwd: root,
    env,
    encoding: 'utf8',
  });
  const said = stripVTControlCharacters(`${ran.stdout}${ran.stderr}`);
  if (ran.status === 0 && /Tests +\d+ passed/u.test(said)) return false;
  if (/Tests +.*\d+ failed/u.test(said)) return true;
  throw new Error(`${mutant.name}: the tests could not be run.\n${said.slice(-2000)}`);
}

const isNoticed = (mutant: Mutant): boolean =>
  failsIn(mutant, [mutant.first]) || failsIn(mutant, []);

/** Survivors that are argued in DEVELOPERS.md: `file:line` moves, so the text of the condition names them. */
function isArgued({ name }: Mutant, argued: string): boolean {
  return argued.includes(name.replace(/^\S+\/([^/:]+):\d+ /u, '$1 '));
}

const [which = 'removal', part = ''] = process.argv.slice(2);
const all =
  which === 'condition'
    ? conditions()
    : removals(
        INTERLOCKS.map(({ id }) => id),
        Object.keys(LAPSE_GUARDS),
        PROPERTY_IDS,
      );
const chosen = all.filter(({ name }) => new RegExp(part, 'u').test(name));
const argued = readFileSync(`${root}DEVELOPERS.md`, 'utf8').replaceAll(/\s+/gu, ' ');
const nothing: Mutant = { name: '', kind: 'removal', file: '-', text: '', first: 'job/' };
if (failsIn(nothing, [])) throw new Error('The tests fail with nothing changed.');

const survivors: Mutant[] = [];
for (const [at, mutant] of chosen.entries()) {
  const noticed = isNoticed(mutant);
  if (!noticed) survivors.push(mutant);
  process.stdout.write(
    `${at + 1}/${chosen.length} ${noticed ? 'noticed' : 'SURVIVES'} ${mutant.name}\n`,
  );
}
rmSync(scratch, { recursive: true });
const killed = chosen.length - survivors.length;
const unargued = survivors.filter((each) => !isArgued(each, argued));
process.stdout.write(`${killed} of ${chosen.length} noticed; ${survivors.length} survive.\n`);
for (const { name } of unargued) process.stdout.write(`  not argued in DEVELOPERS.md: ${name}\n`);
process.exit(unargued.length > 0 ? 1 : 0);
