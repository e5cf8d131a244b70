/** The one opened store of this page, and what was typed on this device before. */
import type { Device } from '#lib/device/device.ts';
import { openRecords, type Records } from '#lib/device/records.ts';
import { done, type Result } from '#lib/device/trouble.ts';

/** Asked for once; a try that failed may be made again. */
function once<T>(make: () => Promise<Result<T>>): () => Promise<Result<T>> {
  let made: Promise<Result<T>> | undefined;
  return async () => {
    made ??= make();
    let stays = false;
    try {
      const result = await made;
      stays = result.ok;
      return result;
    } finally {
      if (!stays) made = undefined;
    }
  };
}

/** What is kept here, for pages that only list it. */
export const theseRecords: () => Promise<Result<Records>> = once(() => openRecords());

/** The whole device. The engine is fetched when it is first asked for: the first pages are drawn without it. */
export const thisDevice: () => Promise<Result<Device>> = once(async () => {
  const [records, { Device }, { program }] = await Promise.all([
    theseRecords(),
    import('#lib/device/device.ts'),
    import('./program.ts'),
  ]);
  return records.ok ? done(new Device(records.value, program)) : records;
});

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
