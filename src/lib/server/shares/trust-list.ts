/** What a verifier of our bags has to trust: the keys of our people, and the logs that gave receipts. */
import type { KnownKey } from '#lib/core/bag/keys.ts';
import { base64url } from '#lib/core/record/index.ts';
import type { Rows } from '../database/database.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';

/** Since when a key is good is told by the act that enrolled it. */
export async function enrolledKeys(
  rows: Rows,
  thumbprints?: readonly string[],
): Promise<KnownKey[]> {
  const found = await rows
    .selectFrom('keys')
    .innerJoin('leaves', 'leaves.idx', 'keys.since_idx')
    .select(['keys.thumbprint', 'keys.public_key', 'keys.person', 'keys.enrolled_by', 'leaves.at'])
    .$if(thumbprints !== undefined, (query) =>
      query.where('keys.thumbprint', 'in', thumbprints ?? []),
    )
    .orderBy('keys.thumbprint')
    .execute();
  return found.map(({ thumbprint, public_key, person, enrolled_by, at }) => ({
    key: thumbprint,
    publicKey: new Uint8Array(public_key),
    person,
    since: new Date(at).toISOString(),
    enrolledBy: enrolled_by,
    use: 'entries',
  }));
}

/** The list as `stillwire verify --trust` takes it; holds no names, only ids. */
export async function trustList(rows: Rows, log: OrganisationLog): Promise<string> {
  const logs = await rows.selectFrom('logs').selectAll().orderBy('no').execute();
  const begun = logs[0]?.begun_at ?? 0;
  const { key, publicKey } = log.key;
  const sealing: KnownKey = {
    key,
    publicKey,
    person: 'office',
    since: new Date(begun).toISOString(),
    enrolledBy: 'office',
    use: 'export',
  };
  const keys = [...(await enrolledKeys(rows)), sealing].map((one) => {
    const { publicKey: bytes, ...rest } = one;
    return { ...rest, public: base64url(bytes) };
  });
  const known = logs.map(({ origin, public_key }) => ({ origin, public: base64url(public_key) }));
  return `${JSON.stringify({ v: 1, keys, logs: known }, null, 2)}\n`;
}
