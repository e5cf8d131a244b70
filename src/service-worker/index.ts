// Keeps the whole app on the device, so that it opens with no signal and no server. A page that is
// open keeps the version that it was opened with: a newer one is fetched beside it and waits until
// it is asked in, so that nothing changes under a person in the middle of a job.
import { base, build, files, prerendered, version } from '$service-worker';
import { BACKGROUND_TAG, sendInBackground } from '#lib/device/sync/background.ts';
import { shellFor } from './shells.ts';

const worker = self as unknown as ServiceWorkerGlobalScope;
const prefix = 'stillwire-app-';
const cacheName = prefix + version;
const kept = [...build, ...files, ...prerendered];
/** Files whose names change with their bytes. */
const immutable = `${base}/_app/immutable/`;
const keptPaths = new Set([...build, ...files]);

worker.addEventListener('install', (event) => {
  event.waitUntil(fill());
});

worker.addEventListener('activate', (event) => {
  event.waitUntil(forgetOldVersions().then(() => worker.clients.claim()));
});

worker.addEventListener('message', (event) => {
  if ((event.data as { type?: unknown } | null)?.type === 'activate') void worker.skipWaiting();
});

worker.addEventListener('sync', (event) => {
  const asked = event as SyncEvent;
  if (asked.tag === BACKGROUND_TAG) asked.waitUntil(sendInBackground());
});

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== worker.location.origin) return;
  if (request.mode === 'navigate') {
    const shell = shellFor(url.pathname, prerendered, base);
    event.respondWith(shell === null ? fromServer(request) : keptOrFetched(shell, request));
  } else if (keptPaths.has(url.pathname) || url.pathname.startsWith(immutable)) {
    event.respondWith(keptOrFetched(url.pathname, request));
  }
});

/** Of the Background Synchronization draft (WICG), which the libraries of the language leave out. */
interface SyncEvent extends ExtendableEvent {
  readonly tag: string;
}

/** All or nothing; what an interrupted try, or an older version, already holds is not fetched again. */
async function fill(): Promise<void> {
  const cache = await caches.open(cacheName);
  for (const path of kept) {
    if ((await cache.match(path)) !== undefined) continue;
    const same = path.startsWith(immutable) ? await caches.match(path) : undefined;
    if (same !== undefined) await cache.put(path, same);
    else await cache.add(new Request(path, { cache: 'reload' }));
  }
}

/** The version before this one stays: another tab may still be running it. */
async function forgetOldVersions(): Promise<void> {
  const others = (await caches.keys()).filter(
    (name) => name.startsWith(prefix) && name !== cacheName,
  );
  await Promise.all(others.slice(0, -1).map((name) => caches.delete(name)));
}

async function keptOrFetched(path: string, request: Request): Promise<Response> {
  const cache = await caches.open(cacheName);
  return (await cache.match(path)) ?? (await caches.match(path)) ?? fetch(request);
}

async function fromServer(request: Request): Promise<Response> {
  try {
    return await fetch(request);
  } catch {
    return new Response(unreachable, {
      status: 503,
      headers: { 'Content-Type': 'text/html; charset=utf-8' },
    });
  }
}

const unreachable = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>No server · Stillwire</title>
<h1>This page needs the server, and it does not answer.</h1>
<p>Nothing is lost: what is on this device is still here.</p>
<p><a href="${base}/jobs">Jobs on this device</a></p>
</html>`;
