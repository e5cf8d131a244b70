/**
 * How many states each shipped checklist has while its job is open, with two people and two connectors, told apart by
 * everything that a gate asks. Pinned, so that a change of the engine or of a list is looked at before its number is
 * changed. The five large ones are walked by `npx stillwire prove` in `tests/contract/prove-large.test.ts`.
 */
import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';
import { checklistNames } from '../../../../support/checklist-texts.ts';
import { LARGE } from '../../../../support/large-lists.ts';

const run = promisify(execFile);
const script = fileURLToPath(new URL('../../../../support/count-states.ts', import.meta.url));

const WITH_TWO: Readonly<Record<string, number>> = {
  'ac-capacitor-contactor': 248_802_655,
  'bench-grinder': 7_017_949,
  'dishwasher-drain-pump': 1_192_768_369,
  'dryer-no-heat': 6_490_530,
  'fryer-element': 14_796_546,
  'garage-door-operator': 1_611_789,
  'microwave-no-heat': 135_374,
  'slicer-service': 13_824_266,
  'washer-lid-lock': 277_175,
};

const names = checklistNames('shipped').map((file) => file.replace(/\.yaml$/u, ''));

test('every shipped list has its number', () => {
  expect([...Object.keys(WITH_TWO), ...Object.keys(LARGE)].sort()).toEqual(names.toSorted());
});

test('each of these is walked to its end, with that many states', async () => {
  const { stdout } = await run(process.execPath, [script, '2', ...Object.keys(WITH_TWO)]);
  expect(JSON.parse(stdout)).toEqual(WITH_TWO);
}, 300_000);
