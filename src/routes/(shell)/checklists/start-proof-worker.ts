/** The worker that walks a draft beside the page. */
export const startProofWorker = (): Worker =>
  new Worker(new URL('./proof-worker.ts', import.meta.url), { type: 'module' });
