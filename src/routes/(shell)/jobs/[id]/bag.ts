/** Packs the evidence bag of a job on this device and saves it; says what went wrong if it could not. */
import { thisDevice } from '../../this-device.ts';

export async function saveBag(job: string): Promise<string | undefined> {
  const device = await thisDevice();
  if (!device.ok) return device.trouble.says;
  const packed = await device.value.exportJob(job);
  if (!packed.ok) return packed.trouble.says;
  const { name, type, bytes } = packed.value;
  const url = URL.createObjectURL(new Blob([bytes.slice()], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The download reads the address after this turn; it is given up when it surely has.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
  return undefined;
}
