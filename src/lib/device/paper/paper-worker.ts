/** Draws the front page as a PDF beside the page, which goes on answering meanwhile. */
import boldExtended from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-ext-700-normal.woff?url';
import bold from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-700-normal.woff?url';
import regularExtended from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-ext-400-normal.woff?url';
import regular from '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-400-normal.woff?url';
import signs from '@fontsource/noto-sans-math/files/noto-sans-math-latin-400-normal.woff?url';
import { frontPdf } from '#lib/paper/front-pdf.ts';
import type { PaperAsked, PaperSaid } from './paper-work.ts';

const say = (said: PaperSaid) => postMessage(said);
/** Who waits for a photo that the page was asked for. */
const waiting = new Map<string, (bytes: Uint8Array | null) => void>();

async function fontAt(url: string): Promise<Uint8Array> {
  const answer = await fetch(url);
  if (!answer.ok) throw new Error(`The typeface ${url} is not on this device.`);
  return new Uint8Array(await answer.arrayBuffer());
}

const fontsAt = (urls: readonly string[]): Promise<Uint8Array[]> => Promise.all(urls.map(fontAt));

function photo(sha256: string): Promise<Uint8Array | null> {
  return new Promise((resolve) => {
    waiting.set(sha256, resolve);
    say({ kind: 'want', sha256 });
  });
}

addEventListener('message', ({ data }: MessageEvent<PaperAsked>) => {
  if (data.kind === 'photo') {
    waiting.get(data.sha256)?.(data.bytes);
    waiting.delete(data.sha256);
    return;
  }
  Promise.all([fontsAt([regular, regularExtended, signs]), fontsAt([bold, boldExtended, signs])])
    .then(([plain, heavy]) => frontPdf(data.input, { regular: plain, bold: heavy }, photo))
    .then(
      (bytes) => say({ kind: 'drawn', bytes }),
      (error: unknown) => say({ kind: 'failed', why: String(error) }),
    );
});
