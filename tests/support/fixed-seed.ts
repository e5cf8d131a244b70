/** One seed for every property, so that a run can be repeated; `STILLWIRE_SEED` tries another. */
import fc from 'fast-check';

const SEED = Number(process.env.STILLWIRE_SEED ?? 20261125);

fc.configureGlobal({ ...fc.readConfigureGlobal(), seed: SEED });
