/** What every entry of a record tells about the program that wrote it. */
import { version } from '$app/environment';
import { RULE_SET } from '#lib/core/job/rules.ts';
import { canonicalBytes, hex } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';

export const program = {
  app: `0.1.0+${version}`,
  rules: hex(purePrimitives.sha256(canonicalBytes(RULE_SET))),
};
