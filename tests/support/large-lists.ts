/**
 * How many states the five largest shipped lists have with two people and two connectors while a job is open, told apart
 * by everything that a gate asks. `tests/contract/prove-large.test.ts` has them proved whole.
 */
export const LARGE: Readonly<Record<string, number>> = {
  'ev-charge-point': 280_868_355_306,
  'furnace-igniter': 27_191_698_473,
  'pv-string-isolator': 3_190_920_316,
  'range-door-lock': 37_958_262_853,
  'water-heater-element': 15_544_279_154,
};
