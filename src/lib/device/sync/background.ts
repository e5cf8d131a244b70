/**
 * Sending while no page is open, where the browser offers it (the Background Synchronization draft of the
 * WICG; Chromium has it). A page asks for it; the worker is woken when there is a signal.
 */
import { webPrimitives } from '#lib/crypto/web.ts';
import { Connection } from '../connection.ts';
import { DeviceStore } from '../store.ts';
import { Outbox } from './outbox.ts';
import { roundAlone, wallNow } from './sender.ts';

/** The name that page and worker know the wish by. */
export const BACKGROUND_TAG = 'stillwire-send';

interface SyncManager {
  register(tag: string): Promise<void>;
}

/** Asks to be woken; answers whether this browser does that. */
export async function askForBackground(): Promise<boolean> {
  try {
    const worker = await navigator.serviceWorker?.getRegistration();
    const manager = (worker as { readonly sync?: SyncManager } | undefined)?.sync;
    await manager?.register(BACKGROUND_TAG);
    return manager !== undefined;
  } catch {
    // Switched off by the person, or not allowed here: it is sent when a page is open.
    return false;
  }
}

/**
 * One round in the worker.
 * @throws Error when something is left to send, so that the browser wakes the worker again
 */
export async function sendInBackground(): Promise<void> {
  const connection = await Connection.open();
  if (!connection.ok) throw new Error(connection.trouble.says);
  try {
    const status = await roundAlone({
      outbox: new Outbox(new DeviceStore(connection.value)),
      fetch: (address, init) => fetch(address, init),
      primitives: webPrimitives,
      now: wallNow,
      locks: navigator.locks,
    });
    if (status?.kind === 'waiting') throw new Error(status.says);
  } finally {
    connection.value.close();
  }
}
