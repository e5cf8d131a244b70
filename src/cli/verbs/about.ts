import { readFileSync } from 'node:fs';
import { readArguments } from '../arguments.ts';
import { holds, Unusable, type Verb } from '../verb.ts';

/** What a report about a fault should name. */
export default {
  summary: 'says which version this is, and what it runs on',
  usage: 'about [--json]',
  example: 'stillwire about',
  async run(args, io) {
    const { positionals, json } = readArguments(args, {});
    if (positionals.length > 0) throw new Unusable(`"about" takes no "${positionals[0]}".`);
    const { version } = JSON.parse(
      readFileSync(new URL('../../../package.json', import.meta.url), 'utf8'),
    ) as { version: string };
    const node = process.versions.node;
    if (json) io.printJson({ ok: true, version, node, platform: process.platform });
    else io.print(`Stillwire ${version} on Node ${node}, ${process.platform}`);
    return holds;
  },
} satisfies Verb;
