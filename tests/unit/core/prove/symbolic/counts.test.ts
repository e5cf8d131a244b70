/**
 * How many states each shipped checklist has with one person and two connectors while its job is open, told apart by
 * everything that a gate asks. Pinned, so that a change of the engine or of a list is looked at before its number is changed. The
 * range (704 million) takes half a minute and is left to `npx stillwire prove --people 1`.
 */
import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';
import { checklistNames } from '../../../../support/checklist-texts.ts';

const run = promisify(execFile);
const script = fileURLToPath(new URL('../../../../support/count-states.ts', import.meta.url));

const STATES: Readonly<Record<string, number>> = {
  'ac-capacitor-contactor': 422_989,
  'bench-grinder': 992_141,
  'dishwasher-drain-pump': 1_463_874,
  'dryer-no-heat': 127_740,
  'ev-charge-point': 26_496_921,
  'fryer-element': 263_164,
  'furnace-igniter': 2_805_657,
  'garage-door-operator': 162_197,
  'microwave-no-heat': 23_339,
  'pv-string-isolator': 3_364_770,
  'slicer-service': 225_353,
  'washer-lid-lock': 42_723,
  'water-heater-element': 2_661_535,
};

const LARGE = 'range-door-lock';
const names = checklistNames('shipped').map((file) => file.replace(/\.yaml$/u, ''));

test('every shipped list has its number', () => {
  expect(Object.keys(STATES)).toEqual(names.filter((name) => name !== LARGE).sort());
});

test('each is walked to its end, with that many states', async () => {
  const { stdout } = await run(process.execPath, [script, '1', ...Object.keys(STATES)]);
  expect(JSON.parse(stdout)).toEqual(STATES);
}, 300_000);
