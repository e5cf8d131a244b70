/** The one opened store of this page, and what was typed on this device before. */
import { version } from '$app/environment';
import { RULE_SET } from '#lib/core/job/rules.ts';
import { canonicalBytes, hex } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { Device } from '#lib/device/device.ts';
import type { Result } from '#lib/device/trouble.ts';

const PROGRAM = {
  app: `0.1.0+${version}`,
  rules: hex(purePrimitives.sha256(canonicalBytes(RULE_SET))),
};

let opened: Promise<Result<Device>> | undefined;

/** Opens the store once; a failed try may be made again. */
export async function thisDevice(): Promise<Result<Device>> {
  opened ??= Device.open(PROGRAM);
  const result = await opened;
  if (!result.ok) opened = undefined;
  return result;
}

/** A value kept between visits for the convenience of the person; nothing that decides anything. */
export function remembered<T>(key: string, otherwise: T): T {
  try {
    const text = localStorage.getItem(`stillwire.${key}`);
    return text === null ? otherwise : (JSON.parse(text) as T);
  } catch {
    return otherwise;
  }
}

export function remember(key: string, value: unknown): void {
  try {
    localStorage.setItem(`stillwire.${key}`, JSON.stringify(value));
  } catch {
    // It will be asked again; nothing of the record is kept here.
  }
}
