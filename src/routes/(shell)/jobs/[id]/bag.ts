/** Packs the evidence bag of a job on this device and saves it; says what went wrong if it could not. */
import type { BagChoice } from '#lib/ui/privacy/choice.ts';
import { thisDevice } from '../../this-device.ts';

/**
 * @param by who seals it: a person with a key here
 * @param choice what is left out or made unreadable; all goes out without one
 */
export async function saveBag(
  job: string,
  by: string,
  language: 'en' | 'es',
  choice?: BagChoice,
): Promise<string | undefined> {
  const device = await thisDevice();
  if (!device.ok) return device.trouble.says;
  const packed = await device.value.exportJob(job, { by, language, ...choice });
  if (!packed.ok) return packed.trouble.says;
  const { save } = await import('#lib/device/save.ts');
  save(packed.value);
  return undefined;
}

/** Saves the record of a job for another device; says what went wrong if it could not. */
export async function saveRecord(job: string): Promise<string | undefined> {
  const device = await thisDevice();
  if (!device.ok) return device.trouble.says;
  const packed = await device.value.exportFolder(job);
  if (!packed.ok) return packed.trouble.says;
  const { save } = await import('#lib/device/save.ts');
  save(packed.value);
  return undefined;
}
