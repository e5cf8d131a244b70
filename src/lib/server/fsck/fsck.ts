/**
 * Verifies the whole store again, from the bytes of the leaves up: nothing that the database says of
 * itself is believed. Reads only.
 */
import {
  leafHash,
  openCheckpoint,
  readLine,
  readReceipt,
  sameBytes,
  signatureStands,
} from '#lib/core/record/index.ts';
import type { NoteKey } from '#lib/core/record/index.ts';
import { nodePrimitives, pooledPrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { PhotoPlace } from '../files/photo-place.ts';
import { PhotoShelf } from '../files/photo-shelf.ts';
import type { LeafTable } from '../database/tables.ts';
import { msOf } from '../ingest/job-summary.ts';
import { actStands, readAct } from '../log/act.ts';
import type { SealedAct } from '../log/act.ts';
import { checkDisclosures, checkPhotos } from './file-check.ts';
import { JobCheck } from './job-check.ts';
import { KeyCheck } from './key-check.ts';
import { Findings } from './report.ts';
import type { FsckCheckId, FsckReport } from './report.ts';
import { TreeCheck } from './tree-check.ts';
import type { ClaimedRoot } from './tree-check.ts';

export interface FsckInput {
  readonly rows: Rows;
  /** 32 bytes; null when only the database is at hand, which is then believed about its own key. */
  readonly publicKey: Uint8Array | null;
  /** The note kept outside the database, where there is one. */
  readonly outside: Uint8Array | null;
  /** Checkpoints and receipts that somebody kept, by name. */
  readonly held: readonly { readonly name: string; readonly bytes: Uint8Array }[];
  /** Where whole photos go when they do not stay in the database. */
  readonly photos?: PhotoPlace | null;
  /** Hears how far it is. */
  readonly progress?: (done: number, size: number) => void;
}

const LEAVES_AT_ONCE = 500;

export async function fsck(input: FsckInput): Promise<FsckReport> {
  const findings = new Findings();
  const { rows } = input;
  const logs = await rows.selectFrom('logs').selectAll().orderBy('no').execute();
  const tree = await rows.selectFrom('tree').selectAll().executeTakeFirst();
  const current = logs.find(({ no }) => no === tree?.log_no);
  if (tree === undefined || current === undefined) {
    findings.fail('log', 'The database holds no log.');
    return { ok: false, entries: 0, acts: 0, jobs: 0, checks: findings.checks() };
  }
  if (input.publicKey !== null && !sameBytes(input.publicKey, current.public_key))
    findings.fail('log', 'The log in the database belongs to another key than the data folder.');
  const publicKey = input.publicKey ?? current.public_key;
  const origins = new Map(logs.map((log) => [log.origin, log.public_key]));
  origins.set(current.origin, publicKey);
  const trusted = [{ name: current.origin, publicKey }];
  const claims = await claimedRoots(input, trusted, findings);
  const walk = new Walk(rows, findings, new TreeCheck(rows, findings, trusted, claims), origins);
  await walk.over(tree.size, input.progress ?? (() => {}));
  await checkPhotos(rows, new PhotoShelf(rows, input.photos ?? null), findings);
  await checkDisclosures(rows, findings);
  const checks = findings.checks();
  const ok = checks.every(({ status }) => status !== 'failed');
  return { ok, entries: walk.entries, acts: walk.acts, jobs: walk.jobCount, checks };
}

/** What was signed before and kept elsewhere, to be met again on the way. */
async function claimedRoots(
  { outside, held }: FsckInput,
  trusted: readonly NoteKey[],
  findings: Findings,
): Promise<ClaimedRoot[]> {
  const claims: ClaimedRoot[] = [];
  const claim = async (check: FsckCheckId, from: string, note: Uint8Array) => {
    const opened = await openCheckpoint(note, trusted, nodePrimitives);
    if (!opened.ok) return findings.fail(check, `${from}: ${opened.flaw.says}`);
    const { size, root } = opened.value;
    claims.push({ check, from, size, root });
  };
  if (outside === null) findings.skip('outside', 'No checkpoint is kept outside the database.');
  else await claim('outside', 'The checkpoint outside the database', outside);
  if (held.length === 0) findings.skip('held', 'No checkpoint was handed in.');
  for (const { name, bytes } of held) {
    const receipt = readReceipt(bytes);
    await claim('held', name, receipt.ok ? receipt.value.checkpoint : bytes);
  }
  return claims;
}

class Walk {
  entries = 0;
  acts = 0;
  jobCount = 0;
  readonly #rows: Rows;
  readonly #findings: Findings;
  readonly #tree: TreeCheck;
  readonly #keys: KeyCheck;
  readonly #jobs: JobCheck;
  readonly #origins: ReadonlyMap<string, Uint8Array>;

  constructor(
    rows: Rows,
    findings: Findings,
    tree: TreeCheck,
    origins: ReadonlyMap<string, Uint8Array>,
  ) {
    this.#rows = rows;
    this.#findings = findings;
    this.#tree = tree;
    this.#origins = origins;
    this.#keys = new KeyCheck(findings);
    this.#jobs = new JobCheck(rows, findings);
  }

  async over(size: number, progress: (done: number, size: number) => void): Promise<void> {
    await this.#tree.begin();
    let due = 0;
    for (;;) {
      const leaves = await this.#rows
        .selectFrom('leaves')
        .selectAll()
        .where('idx', '>=', due)
        .orderBy('idx')
        .limit(LEAVES_AT_ONCE)
        .execute();
      if (leaves.length === 0) break;
      for (const leaf of leaves) {
        if (leaf.idx !== due) this.#missing(due, leaf.idx - 1);
        await this.#leaf(leaf);
        due = leaf.idx + 1;
      }
      await this.#signatures(leaves);
      progress(due, size);
    }
    if (due < size) this.#missing(due, size - 1);
    else if (due > size)
      this.#findings.fail('leaves', `${due} leaves are stored where the tree counts ${size}.`);
    await this.#tree.end();
    await this.#keys.end(this.#rows);
    this.jobCount = this.#jobs.count;
    await this.#jobs.end();
  }

  #missing(from: number, to: number): void {
    const which = from === to ? `Leaf ${from} is` : `Leaves ${from} to ${to} are`;
    this.#findings.fail('leaves', `${which} missing.`);
  }

  async #leaf(leaf: LeafTable): Promise<void> {
    const hash = leafHash(leaf.line, nodePrimitives);
    await this.#tree.add(hash);
    if (!sameBytes(hash, leaf.hash))
      this.#findings.fail('leaves', `Leaf ${leaf.idx} is not the bytes that its hash names.`);
    if (leaf.kind === 'act') await this.#act(leaf);
    else await this.#entry(leaf);
  }

  async #act(leaf: LeafTable): Promise<void> {
    this.acts += 1;
    const read = readAct(leaf.line);
    const why = read.ok ? await this.#whyNoAct(leaf, read.value) : read.flaw.says;
    if (why !== null) return this.#findings.fail('acts', `Leaf ${leaf.idx}: ${why}`);
    if (read.ok) this.#keys.add(read.value.act, leaf.idx);
  }

  async #whyNoAct(leaf: LeafTable, sealed: SealedAct): Promise<string | null> {
    const { act } = sealed;
    const key = this.#origins.get(act.log);
    if (key === undefined) return `It is an act of the log “${act.log}”, which is not this one.`;
    if (!(await actStands(sealed, key))) return 'The signature does not fit the act.';
    const restated = leaf.type === act.type && leaf.by === act.by && leaf.at === msOf(act.at);
    return restated ? null : 'Its columns do not say what the act says.';
  }

  async #entry(leaf: LeafTable): Promise<void> {
    this.entries += 1;
    const read = readLine(leaf.line, nodePrimitives);
    if (!read.ok) return this.#findings.fail('entries', `Leaf ${leaf.idx}: ${read.flaw.says}`);
    const { entry } = read.value;
    const key = this.#keys.keyFor(entry.key);
    if (key?.person !== entry.by)
      this.#findings.fail(
        'entries',
        `Leaf ${leaf.idx}: its key was not enrolled for “${entry.by}” before it.`,
      );
    const restated =
      leaf.type === entry.type &&
      leaf.by === entry.by &&
      leaf.seq === entry.seq &&
      leaf.at === msOf(entry.at);
    if (!restated)
      this.#findings.fail(
        'leaves',
        `The columns of leaf ${leaf.idx} do not say what its entry says.`,
      );
    await this.#jobs.add(leaf, read.value);
  }

  /** Side by side: signatures are nearly all of the work. */
  async #signatures(leaves: readonly LeafTable[]): Promise<void> {
    await Promise.all(
      leaves.map(async (leaf) => {
        const read = leaf.kind === 'entry' ? readLine(leaf.line, nodePrimitives) : null;
        if (read?.ok !== true) return;
        const key = this.#keys.keyFor(read.value.entry.key);
        if (key === null) return;
        if (!(await signatureStands(read.value, key.publicKey, pooledPrimitives)))
          this.#findings.fail('entries', `Leaf ${leaf.idx}: the signature does not fit the entry.`);
      }),
    );
  }
}
