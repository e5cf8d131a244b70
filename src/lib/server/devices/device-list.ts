/** The devices, people and keys as the office sees them. */
import type { Rows } from '../database/database.ts';

export interface ListedDevice {
  readonly id: string;
  readonly label: string;
  readonly enrolledAt: number;
  readonly seenAt: number;
  readonly ended: boolean;
  readonly keys: readonly {
    readonly thumbprint: string;
    readonly person: string;
    readonly name: string;
    readonly ended: boolean;
  }[];
}

export async function listDevices(rows: Rows): Promise<ListedDevice[]> {
  const devices = await rows.selectFrom('devices').selectAll().orderBy('label').execute();
  const keys = await rows
    .selectFrom('keys')
    .innerJoin('people', 'people.id', 'keys.person')
    .select(['keys.thumbprint', 'keys.person', 'keys.device', 'keys.until_idx', 'people.name'])
    .orderBy('people.name')
    .execute();
  return devices.map(({ id, label, enrolled_at, seen_at, revoked_at }) => ({
    id,
    label,
    enrolledAt: enrolled_at,
    seenAt: seen_at,
    ended: revoked_at !== null,
    keys: keys
      .filter(({ device }) => device === id)
      .map(({ thumbprint, person, name, until_idx }) => ({
        thumbprint,
        person,
        name,
        ended: until_idx !== null,
      })),
  }));
}
