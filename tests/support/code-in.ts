// What another program's reader makes of a square code on the screen.
import { readFile } from 'node:fs/promises';
import type { Locator } from '@playwright/test';
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader';

export async function codeIn(picture: Locator): Promise<string> {
  const wasm = await readFile(new URL(import.meta.resolve('zxing-wasm/reader/zxing_reader.wasm')));
  prepareZXingModule({ overrides: { wasmBinary: wasm.buffer as ArrayBuffer } });
  const [found] = await readBarcodes(await picture.screenshot(), { formats: ['QRCode'] });
  return found?.text ?? '';
}
