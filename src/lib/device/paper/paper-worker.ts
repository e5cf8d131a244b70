/** Draws the front page as a PDF beside the page, which goes on answering meanwhile. */
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
  Promise.all([fontsAt(data.fonts.regular), fontsAt(data.fonts.bold)])
    .then(([plain, heavy]) => frontPdf(data.input, { regular: plain, bold: heavy }, photo))
    .then(
      (bytes) => say({ kind: 'drawn', bytes }),
      (error: unknown) => say({ kind: 'failed', why: String(error) }),
    );
});
