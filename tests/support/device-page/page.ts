/**
 * The rooms of `src/lib/device` in a real browser, for tests alone: the app itself shows nothing of
 * them to the window.
 */
import { fromHex } from '#lib/core/record/bytes.ts';
import { verifyStrictly } from '#lib/core/record/ed25519.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { openCamera } from '#lib/device/camera.ts';
import { Device } from '#lib/device/device.ts';
import { digest } from '#lib/device/photo-chunks.ts';
import { preparePhoto } from '#lib/device/photos.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import type { Photo } from '#lib/device/photo.ts';

/** A photo of random bytes: the store does not look into them. */
function randomPhoto(bytes: number): Photo {
  const data = new Uint8Array(bytes);
  for (let at = 0; at < bytes; at += 65_536) crypto.getRandomValues(data.subarray(at, at + 65_536));
  return { sha256: digest(data), bytes: data, width: 4, height: 3, sharpness: 1 };
}

async function openDevice(app = '0.1.0+bench'): Promise<Device> {
  const opened = await Device.open({ app, rules: 'a'.repeat(64) });
  if (!opened.ok) throw new Error(opened.trouble.says);
  return opened.value;
}

/** Does a signature stand by this browser's own cryptography? Everything in hex. */
async function signatureStands(key: string, message: string, signature: string): Promise<boolean> {
  const [k, m, s] = [key, message, signature].map((text) => fromHex(text) ?? new Uint8Array());
  if (k === undefined || m === undefined || s === undefined) return false;
  return verifyStrictly(webPrimitives, k, m, s);
}

const bench = { openDevice, openCamera, preparePhoto, randomPhoto, signatureStands };
export type Bench = typeof bench;

declare global {
  interface Window {
    bench: Bench;
    /** The job that a test has open. */
    session: JobSession;
  }
}
window.bench = bench;
