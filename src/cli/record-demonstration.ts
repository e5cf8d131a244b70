// Seals the events of a replay with keys that live as long as this process, as a record folder.
import { randomBytes } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { bytesOf } from '../lib/core/bag/bag-file.ts';
import type { KnownKey } from '../lib/core/bag/keys.ts';
import { recordFolderFiles } from '../lib/core/bag/record-folder.ts';
import type { JobEvent } from '../lib/core/job/events.ts';
import { RULE_SET } from '../lib/core/job/rules.ts';
import { hex } from '../lib/core/record/bytes.ts';
import { canonicalBytes } from '../lib/core/record/canonical.ts';
import { manifestOf } from '../lib/core/record/chain.ts';
import { discloseAll } from '../lib/core/record/disclosures.ts';
import { headOf, sealEntry, type SealedEntry } from '../lib/core/record/index.ts';
import { uuidV7 } from '../lib/core/record/uuid.ts';
import { nodePrimitives, throwAwayKey, type NodeKey } from '../lib/crypto/node.ts';
import type { LoadedFile } from './checklist-file.ts';
import { Unusable } from './verb.ts';

interface Sealing {
  readonly job: string;
  readonly app: string;
  readonly rules: string;
  readonly keys: Map<string, NodeKey>;
  readonly sealed: SealedEntry[];
  readonly disclosures: { seq: number; disclosure: string }[];
}

function keyOf(sealing: Sealing, person: string): NodeKey {
  const known = sealing.keys.get(person);
  if (known) return known;
  const made = throwAwayKey();
  sealing.keys.set(person, made);
  return made;
}

async function seal(sealing: Sealing, event: JobEvent): Promise<void> {
  const signer = keyOf(sealing, event.by);
  const { disclosures, digests } = discloseAll(
    event.private ?? {},
    () => new Uint8Array(randomBytes(16)),
    nodePrimitives,
  );
  const last = sealing.sealed.at(-1);
  const body =
    event.type === 'job.closed'
      ? { ...event.body, manifest: manifestOf(sealing.sealed, signer.key) }
      : event.body;
  const outcome = await sealEntry(
    {
      app: sealing.app,
      at: event.at,
      body: JSON.parse(JSON.stringify(body)) as never,
      boot: event.boot,
      by: event.by,
      job: sealing.job,
      mono: event.mono,
      rules: sealing.rules,
      type: event.type,
      ...(digests.length === 0 ? {} : { _sd: digests }),
    },
    last === undefined ? null : headOf(last),
    signer,
    nodePrimitives,
  );
  if (!outcome.ok) throw new Unusable(`An event cannot be sealed: ${outcome.flaw.says}`);
  const { seq } = outcome.value.entry;
  sealing.disclosures.push(...disclosures.map((each) => ({ seq, disclosure: each.encoded })));
  sealing.sealed.push(outcome.value);
}

function knownKeys(sealing: Sealing, since: string): KnownKey[] {
  return [...sealing.keys].map(([person, { key, publicKey }]) => ({
    key,
    publicKey,
    person,
    since,
    enrolledBy: person,
    use: 'entries',
  }));
}

/** A folder that holds something else is not written over. */
function checkFolder(folder: string): void {
  const there = statSync(folder, { throwIfNoEntry: false });
  if (there && !there.isDirectory()) throw new Unusable(`${folder} is a file, not a folder.`);
  if (there && readdirSync(folder).length > 0) {
    throw new Unusable(`The folder ${folder} is not empty; give a new one.`);
  }
}

/** The demonstration mark is set in the events, so that nobody can take it off without breaking the seal. */
function asDemonstration(event: JobEvent): JobEvent {
  return event.type === 'job.opened' ? { ...event, body: { ...event.body, demo: true } } : event;
}

/**
 * Writes a sealed record of a replay into an empty or new folder.
 * @param yamlFile where the checklist was read from; its text goes along as written
 * @throws Unusable when there is nothing to seal or the folder cannot be used
 */
export async function recordDemonstration(
  folder: string,
  yamlFile: string,
  loaded: LoadedFile,
  events: readonly JobEvent[],
): Promise<void> {
  const [first] = events;
  if (first === undefined)
    throw new Unusable('No command was accepted, so there is no record to write.');
  checkFolder(folder);
  const { version } = JSON.parse(
    readFileSync(new URL('../../package.json', import.meta.url), 'utf8'),
  ) as { version: string };
  const sealing: Sealing = {
    job: uuidV7(Date.parse(first.at), new Uint8Array(randomBytes(10))),
    app: `${version}+replay`,
    rules: hex(nodePrimitives.sha256(canonicalBytes(RULE_SET))),
    keys: new Map(),
    sealed: [],
    disclosures: [],
  };
  for (const event of events) await seal(sealing, asDemonstration(event));
  const files = recordFolderFiles({
    lines: sealing.sealed.map((each) => each.line),
    disclosures: sealing.disclosures,
    checklist: {
      yaml: readFileSync(yamlFile, 'utf8'),
      json: loaded.json,
      checklist: loaded.checklist,
    },
    keys: knownKeys(sealing, first.at),
  });
  for (const file of files) {
    const path = join(folder, file.path);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, await bytesOf(file));
  }
}
