/**
 * Made `bag-1.zip`, the frozen bytes of bag format 1. Run it again only for a new format, under a new
 * name: what was written once must be readable for ever, and is never written over.
 *
 *     node tests/vectors/make-bag-1.ts OUT.zip
 */
import { writeFileSync } from 'node:fs';
import { lampBag } from '../support/a-bag.ts';

const [out] = process.argv.slice(2);
if (out === undefined) throw new Error('Give the file to write.');
writeFileSync(out, await lampBag({ withhold: ['site'] }), { flag: 'wx' });
