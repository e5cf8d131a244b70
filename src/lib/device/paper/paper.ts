/** The front page as a PDF, drawn by a worker of its own for `writeBag`. */
import boldExtended from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-ext-700-normal.woff?url';
import bold from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-700-normal.woff?url';
import regularExtended from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-ext-400-normal.woff?url';
import regular from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-400-normal.woff?url';
import signs from '@fontsource/noto-sans-math/files/noto-sans-math-latin-400-normal.woff?url';
import type { FrontInput } from '#lib/core/bag/front/front-input.ts';
import type { PhotoOfBag } from '#lib/core/bag/write-bag.ts';
import type { FontPlaces, PaperAsked, PaperSaid } from './paper-work.ts';

/** Named by the page and not by the worker: what only a worker names is not kept on the device. */
function fontPlaces(): FontPlaces {
  const at = (address: string): string => new URL(address, location.href).href;
  return {
    regular: [regular, regularExtended, signs].map(at),
    bold: [bold, boldExtended, signs].map(at),
  };
}

/** Where there are no workers (a test without a browser) a bag has no PDF, which it need not have. */
export const drawsPaper = (): boolean => typeof Worker !== 'undefined';

export function paperOfFront(input: FrontInput, photo: PhotoOfBag): Promise<Uint8Array | null> {
  const worker = new Worker(new URL('./paper-worker.ts', import.meta.url), { type: 'module' });
  const ask = (asked: PaperAsked) => worker.postMessage(asked);
  const drawn = new Promise<Uint8Array>((resolve, reject) => {
    const fail = (why: string) => reject(new Error(`The PDF was not drawn. ${why}`));
    worker.addEventListener('error', ({ message }) => fail(message));
    worker.addEventListener('message', ({ data }: MessageEvent<PaperSaid>) => {
      if (data.kind === 'drawn') resolve(data.bytes);
      else if (data.kind === 'failed') fail(data.why);
      else {
        photo(data.sha256).then(
          (bytes) => ask({ kind: 'photo', sha256: data.sha256, bytes }),
          (error: unknown) => fail(String(error)),
        );
      }
    });
  });
  ask({ kind: 'draw', input, fonts: fontPlaces() });
  return drawn.finally(() => worker.terminate());
}
