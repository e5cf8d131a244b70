// A newer version of the app waits beside the running one until a person lets it in.

export interface WaitingVersion {
  /** Lets the newer version in and reloads this page with it. Only between jobs. */
  activate(): void;
}

/**
 * @param found called each time a newer version has been fetched whole and waits
 * @returns a function that ends the watching
 */
export function watchForNewVersion(found: (waiting: WaitingVersion) => void): () => void {
  const container = globalThis.navigator?.serviceWorker;
  if (container === undefined) return () => {};
  let watching = true;

  const offer = (worker: ServiceWorker) => {
    // The very first version has nothing to wait for.
    if (watching && container.controller !== null) found({ activate: () => letIn(worker) });
  };
  const letIn = (worker: ServiceWorker) => {
    container.addEventListener('controllerchange', () => location.reload(), { once: true });
    worker.postMessage({ type: 'activate' });
  };

  void container.ready.then((registration) => {
    if (registration.waiting !== null) offer(registration.waiting);
    registration.addEventListener('updatefound', () => {
      const coming = registration.installing;
      coming?.addEventListener('statechange', () => {
        if (coming.state === 'installed') offer(coming);
      });
    });
  });
  return () => {
    watching = false;
  };
}
