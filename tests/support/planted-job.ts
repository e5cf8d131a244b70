// A prepared job, sealed here with a key of its own and laid into the store of the app in a browser: what
// thirty steps by hand would leave there.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { canonicalBytes, hex } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { RULE_SET } from '#lib/core/job/rules.ts';
import { keyOfSeed } from '#lib/crypto/node.ts';
import { sealEvents } from '#lib/device/seal-events.ts';
import type { Prepared } from './prepared-job.ts';

const seed = new Uint8Array(32).fill(21);
const hand = keyOfSeed(seed);
const rules = hex(purePrimitives.sha256(canonicalBytes(RULE_SET)));

/**
 * Lays the job into the store of a page that opens it by itself (`/jobs` does), once that is done.
 * @param job an id of its own, a UUID
 */
export async function plant(page: Page, prepared: Prepared, job: string): Promise<void> {
  const { events, state, last, loaded } = prepared;
  const program = { app: '0.1.0+planted', rules };
  const sealed = await sealEvents(events, { job, program, upon: [], signer: hand });
  if (!sealed.ok) throw new Error(sealed.trouble.says);
  const { entries, disclosures } = sealed.value;
  const [first, end] = [entries[0], entries.at(-1)];
  if (first === undefined || end === undefined) throw new Error('nothing was sealed');
  const row = {
    job,
    count: entries.length,
    head: end.hash,
    checklist: loaded.row.sha256,
    title: loaded.row.title,
    demo: state.demo,
    openedAt: first.entry.at,
    lastAt: end.entry.at,
    openedBy: last.by,
    lastBy: last.by,
    status: state.status,
  };
  const made = () =>
    page.evaluate(async () => {
      const kept = await indexedDB.databases();
      return kept.some(({ name, version }) => name === 'stillwire' && version === 1);
    });
  await expect.poll(made).toBe(true);
  await page.evaluate(layInto, {
    row,
    disclosures,
    checklist: loaded.row,
    lines: entries.map(({ line }) => Buffer.from(line).toString('base64')),
    person: { id: last.by, name: 'Mara Lindqvist', competence: ['electrical'] },
    key: hand.key,
    publicKey: Buffer.from(hand.publicKey).toString('base64'),
    seed: Buffer.from(seed).toString('base64'),
  });
}

interface Laid {
  readonly row: { readonly job: string; readonly openedAt: string };
  readonly disclosures: readonly object[];
  readonly checklist: object;
  readonly lines: readonly string[];
  readonly person: { readonly id: string };
  readonly key: string;
  readonly publicKey: string;
  readonly seed: string;
}

/** In the page. */
async function layInto(laid: Laid): Promise<void> {
  const bytes = (text: string) => Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
  const head = [48, 46, 2, 1, 0, 48, 5, 6, 3, 43, 101, 112, 4, 34, 4, 32];
  const pkcs8 = Uint8Array.from([...head, ...bytes(laid.seed)]);
  const privateKey = await crypto.subtle.importKey('pkcs8', pkcs8, 'Ed25519', false, ['sign']);
  const asked = indexedDB.open('stillwire');
  const db = await new Promise<IDBDatabase>((done, failed) => {
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error ?? new Error('no store'));
  });
  const names = ['jobs', 'entries', 'disclosures', 'checklists', 'people', 'keys'];
  const tx = db.transaction(names, 'readwrite');
  tx.objectStore('jobs').put(laid.row);
  tx.objectStore('checklists').put(laid.checklist);
  tx.objectStore('people').put(laid.person);
  tx.objectStore('keys').put({
    thumbprint: laid.key,
    person: laid.person.id,
    publicKey: bytes(laid.publicKey).buffer,
    privateKey,
    since: laid.row.openedAt,
    enrolledBy: laid.person.id,
  });
  for (const [seq, line] of laid.lines.entries())
    tx.objectStore('entries').put(bytes(line).buffer, [laid.row.job, seq]);
  for (const each of laid.disclosures) tx.objectStore('disclosures').put(each);
  await new Promise<void>((done, failed) => {
    tx.oncomplete = () => done();
    tx.onerror = () => failed(tx.error ?? new Error('not laid'));
  });
  db.close();
}
