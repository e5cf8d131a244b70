/**
 * How many states each shipped checklist has while its job is open, with two people and two connectors, told apart by
 * everything that a gate asks. Pinned, so that a change of the engine or of a list is looked at before its number is
 * changed. The five large ones are walked with one person here; with two `npx stillwire prove` does it (DEVELOPERS.md
 * has their numbers).
 */
import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';
import { checklistNames } from '../../../../support/checklist-texts.ts';

const run = promisify(execFile);
const script = fileURLToPath(new URL('../../../../support/count-states.ts', import.meta.url));

type Table = Readonly<Record<string, number>>;

const WITH_TWO: Table = {
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

const ALONE: Table = {
  'ev-charge-point': 27_547_709,
  'furnace-igniter': 4_550_337,
  'pv-string-isolator': 3_260_846,
  'range-door-lock': 404_670_740,
  'water-heater-element': 3_332_227,
};

const names = checklistNames('shipped').map((file) => file.replace(/\.yaml$/u, ''));

test('every shipped list has its number', () => {
  expect(Object.keys({ ...WITH_TWO, ...ALONE }).sort()).toEqual(names.toSorted());
});

test.each([
  ['two', '2', WITH_TWO],
  ['one', '1', ALONE],
])(
  'each is walked to its end with %s, with that many states',
  async (_, people, table) => {
    const { stdout } = await run(process.execPath, [script, people, ...Object.keys(table)]);
    expect(JSON.parse(stdout)).toEqual(table);
  },
  300_000,
);
