/** The one opened store of this page, and what was typed on this device before. */
import type { Device } from '#lib/device/device.ts';
import type { Result } from '#lib/device/trouble.ts';

let opened: Promise<Result<Device>> | undefined;

/** Opens the store once; a failed try may be made again. */
export async function thisDevice(): Promise<Result<Device>> {
  opened ??= open();
  let stays = false;
  try {
    const result = await opened;
    stays = result.ok;
    return result;
  } finally {
    if (!stays) opened = undefined;
  }
}

/** The engine is fetched when the store is first asked for: the first page is drawn without it. */
async function open(): Promise<Result<Device>> {
  const [{ Device }, { program }] = await Promise.all([
    import('#lib/device/device.ts'),
    import('./program.ts'),
  ]);
  return Device.open(program);
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
