/** A request of a device: known, within its rate, and answered plainly when the log cannot go on. */
import type { KnownDevice } from '../devices/device-token.ts';
import { deviceOf } from '../devices/device-token.ts';
import type { House } from '../house.ts';
import { LogTrouble } from '../log/log-trouble.ts';
import { refused } from '../refusal.ts';
import { Rate } from './rate.ts';
import { refusal } from './replies.ts';

const ALLOWED = { requests: 120, bytes: 40 * 1024 * 1024 };
const devices = new Rate(ALLOWED);
/** Those who are not known yet, all from one address together. */
const strangers = new Rate({ requests: 20, bytes: 1024 * 1024 });

const LOG_STOPPED = refused(
  503,
  'log-stopped',
  'The server cannot take entries in at the moment: its own records need a look first. Everything stays on the device; tell the office.',
);

export async function fromDevice(
  request: Request,
  house: House,
  work: (device: KnownDevice) => Promise<Response>,
): Promise<Response> {
  const { rows } = house.database;
  const device = await deviceOf(rows, request.headers.get('authorization'), house.now());
  if (!device.ok) return refusal(device, { 'WWW-Authenticate': 'Bearer' });
  const bytes = Number(request.headers.get('content-length') ?? 0);
  const tooMuch = devices.count(device.value.id, house.now(), bytes);
  if (tooMuch !== null) return refusal(tooMuch, { 'Retry-After': String(tooMuch.retryAfter) });
  return unlessStopped(house, () => work(device.value));
}

/** @param address of the sender, for counting only */
export async function fromStranger(
  house: House,
  address: string,
  work: () => Promise<Response>,
): Promise<Response> {
  const tooMuch = strangers.count(address, house.now());
  if (tooMuch !== null) return refusal(tooMuch, { 'Retry-After': String(tooMuch.retryAfter) });
  return unlessStopped(house, work);
}

/** What is wrong with the log is for the operator; a device hears that it has to wait. */
async function unlessStopped(house: House, work: () => Promise<Response>): Promise<Response> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof LogTrouble)) throw error;
    house.logbook.error({ trouble: error.message }, 'The log was stopped.');
    return refusal(LOG_STOPPED);
  }
}
