/**
 * `npm run made-up-crew`: fills the server's store (`--data DIR`, else STILLWIRE_DATA or ./data) with a
 * made-up crew, marked as a demonstration for ever. It may run beside the server.
 */
import { parseArgs } from 'node:util';
import { openHouse } from '#lib/server/house.ts';
import { readSettings } from '#lib/server/settings.ts';
import { demonstrationCrew } from '../support/demonstration-crew.ts';

const { values } = parseArgs({ options: { data: { type: 'string' } } });
const env = values.data === undefined ? {} : { STILLWIRE_DATA: values.data };
const read = readSettings({ ...process.env, ...env });
if (!read.ok) {
  process.stderr.write(`${read.problems.join('\n')}\nNothing was written.\n`);
  process.exit(2);
}
const house = await openHouse(read.settings);
try {
  const jobs = await demonstrationCrew(house);
  process.stdout.write(
    `${jobs} jobs of a made-up crew were stored in ${read.settings.data}, each marked as a demonstration for ever. The office shows them under /office/now?crew=made-up.\n`,
  );
} finally {
  await house.close();
}
