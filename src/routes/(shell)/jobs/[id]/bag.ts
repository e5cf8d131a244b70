/** Packs the evidence bag of a job on this device and saves it; says what went wrong if it could not. */
import { thisDevice } from '../../this-device.ts';

/** @param by who seals it: a person with a key here */
export async function saveBag(
  job: string,
  by: string,
  language: 'en' | 'es',
): Promise<string | undefined> {
  const device = await thisDevice();
  if (!device.ok) return device.trouble.says;
  const packed = await device.value.exportJob(job, { by, language });
  if (!packed.ok) return packed.trouble.says;
  const { save } = await import('#lib/device/export.ts');
  save(packed.value);
  return undefined;
}

/** Saves the record of a job for another device; says what went wrong if it could not. */
export async function saveRecord(job: string): Promise<string | undefined> {
  const device = await thisDevice();
  if (!device.ok) return device.trouble.says;
  const packed = await device.value.exportFolder(job);
  if (!packed.ok) return packed.trouble.says;
  const { save } = await import('#lib/device/export.ts');
  save(packed.value);
  return undefined;
}
