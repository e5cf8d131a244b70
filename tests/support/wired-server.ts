/**
 * The endpoints of the collecting server without a network: requests go to the very handlers that the
 * framework would call.
 */
import { openHouse, setHouse } from '#lib/server/house.ts';
import type { House } from '#lib/server/house.ts';
import { readSettings } from '#lib/server/settings.ts';
import * as checklists from '../../src/routes/api/checklists/[sha256]/+server.ts';
import * as clocks from '../../src/routes/api/clocks/+server.ts';
import * as deviceCode from '../../src/routes/api/devices/code/+server.ts';
import * as devices from '../../src/routes/api/devices/+server.ts';
import * as disclosures from '../../src/routes/api/disclosures/+server.ts';
import * as entries from '../../src/routes/api/entries/+server.ts';
import * as heads from '../../src/routes/api/heads/+server.ts';
import * as keys from '../../src/routes/api/keys/+server.ts';
import * as keyChange from '../../src/routes/api/keys/change/+server.ts';
import * as log from '../../src/routes/api/log/+server.ts';
import * as looks from '../../src/routes/api/looks/+server.ts';
import * as photos from '../../src/routes/api/photos/[sha256]/+server.ts';
import * as checkpoint from '../../src/routes/tiles/checkpoint/+server.ts';
import * as consistency from '../../src/routes/tiles/consistency/+server.ts';
import type { EmptyPlace } from './test-database.ts';

type Handlers = Readonly<Record<string, unknown>>;

const routes: readonly (readonly [RegExp, Handlers])[] = [
  [/^\/api\/entries$/, entries],
  [/^\/api\/log$/, log],
  [/^\/api\/heads$/, heads],
  [/^\/api\/clocks$/, clocks],
  [/^\/api\/devices$/, devices],
  [/^\/api\/devices\/code$/, deviceCode],
  [/^\/api\/keys$/, keys],
  [/^\/api\/keys\/change$/, keyChange],
  [/^\/api\/disclosures$/, disclosures],
  [/^\/api\/looks$/, looks],
  [/^\/api\/checklists\/(?<sha256>[^/]+)$/, checklists],
  [/^\/api\/photos\/(?<sha256>[^/]+)$/, photos],
  [/^\/tiles\/checkpoint$/, checkpoint],
  [/^\/tiles\/consistency$/, consistency],
];

/** Opens the house over a place; its clock is the test's. */
export async function openTestHouse(
  { place, folder }: EmptyPlace,
  now: () => number,
): Promise<House> {
  const read = readSettings({
    STILLWIRE_DATA: folder,
    STILLWIRE_LOG_NAME: 'records.example/crew',
    STILLWIRE_LOG_LEVEL: 'silent',
    DATABASE_URL: place.kind === 'postgres' ? place.address : undefined,
  });
  if (!read.ok) throw new Error(read.problems.join('\n'));
  return openHouse(read.settings, now);
}

/** Answers requests as this house; only one request is looked at at a time. */
export async function answerAs(
  house: House,
  address: string,
  init: RequestInit,
): Promise<Response> {
  const url = new URL(address);
  for (const [form, handlers] of routes) {
    const found = form.exec(url.pathname);
    const handler = handlers[init.method ?? 'GET'] as
      ((event: object) => Promise<Response>) | undefined;
    if (found === null || handler === undefined) continue;
    setHouse(house);
    const request = new Request(url, { ...init, signal: null, credentials: 'same-origin' });
    const getClientAddress = () => '203.0.113.7';
    return handler({ request, url, params: { ...found.groups }, getClientAddress });
  }
  return new Response('{}', { status: 404 });
}
