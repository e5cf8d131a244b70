/** The worker that explores a checklist beside the page. */
export const startExploreWorker = (): Worker =>
  new Worker(new URL('./explore-worker.ts', import.meta.url), { type: 'module' });
