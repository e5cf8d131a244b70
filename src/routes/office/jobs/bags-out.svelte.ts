/** Bags in bulk, fetched one after the other and put into one file here, so that the page can tell how far it is. */
import { save } from '#lib/device/save.ts';

/** What the office says is to come: jobs, and in words what stays out. */
interface BagList {
  readonly jobs: readonly string[];
  readonly lacking: readonly string[];
}

export class BagsOut {
  stage = $state<'idle' | 'making' | 'done' | 'stopped' | 'failed'>('idle');
  /** Bags that are in the file, or could not be made; of how many. */
  done = $state(0);
  of = $state(0);
  bytes = $state(0);
  /** Bags that the file lacks; it names them. */
  lacking = $state(0);
  #stop: AbortController | undefined;

  /**
   * @param list address of the list
   * @param bagOf address of the bag of a job
   * @param name of the file that is saved
   */
  async make(list: string, bagOf: (job: string) => string, name: string): Promise<void> {
    if (this.stage === 'making') return;
    [this.stage, this.done, this.of, this.bytes, this.lacking] = ['making', 0, 0, 0, 0];
    const { signal } = (this.#stop = new AbortController());
    try {
      const answer = await fetch(list, { signal });
      if (!answer.ok) throw new Error(answer.statusText);
      const asked = (await answer.json()) as BagList;
      this.of = asked.jobs.length;
      const { makeZip } = await import('client-zip');
      const zip = new Response(makeZip(this.#files(asked, bagOf, signal)));
      const file = await zip.blob();
      signal.throwIfAborted();
      save({ name, blob: file });
      this.stage = 'done';
    } catch {
      this.stage = signal.aborted ? 'stopped' : 'failed';
    }
  }

  stop(): void {
    this.#stop?.abort();
  }

  async *#files({ jobs, lacking }: BagList, bagOf: (job: string) => string, signal: AbortSignal) {
    const lines = [...lacking];
    const lastModified = Date.now();
    for (const job of jobs) {
      const answer = await fetch(bagOf(job), { signal, headers: { Accept: 'application/json' } });
      const name = /filename="([^"/\\]+)"/.exec(
        answer.headers.get('content-disposition') ?? '',
      )?.[1];
      if (answer.ok && name !== undefined && answer.body !== null)
        yield { name, lastModified, input: answer.body.pipeThrough(this.#counted()) };
      else lines.push(`${job}: ${await why(answer)}`);
      this.done += 1;
    }
    this.lacking = lines.length;
    if (lines.length > 0)
      yield { name: 'not-in-here.txt', lastModified, input: `${lines.join('\n')}\n` };
  }

  #counted(): TransformStream<Uint8Array, Uint8Array> {
    return new TransformStream({
      transform: (part, on) => {
        this.bytes += part.byteLength;
        on.enqueue(part);
      },
    });
  }
}

async function why(answer: Response): Promise<string> {
  const read: unknown = await answer.json().catch(() => null);
  const { message } = (read ?? {}) as { message?: unknown };
  return typeof message === 'string' ? message : String(answer.status);
}
