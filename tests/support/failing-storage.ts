/**
 * A disk that fails on command, under the in-process IndexedDB.
 *
 * Every request and every commit is one operation, counted from 1. At the chosen one:
 * - `request`: the request fails (disk error, connection lost)
 * - `full`: it fails for want of room, and so does every later one that writes
 * - `commit`: the requests succeed and the commit is undone for want of room
 * - `unheard`: the commit happens, but the page is told that it was undone
 * - `killed`: nothing that comes later is stored, and a commit in that moment is not heard of
 */
import 'fake-indexeddb/auto';

export type Failure = 'request' | 'full' | 'commit' | 'unheard' | 'killed';

interface Internals {
  mode: string;
  /** The database's own listeners, which pass the turn to the next transaction. */
  _prioritizedListeners: Map<string, () => void>;
  _abort(name: string): void;
  _execRequestAsync(request: { operation: () => unknown; source?: unknown }): unknown;
  dispatchEvent(event: { type: string }): boolean;
}

const inner = IDBTransaction.prototype as unknown as Internals;

/**
 * Runs `work` with the failure armed for operation `at`; tells how many operations were counted.
 * A page that waits for the commit it was killed in never goes on.
 */
export async function withFailure(
  failure: Failure,
  at: number,
  work: () => Promise<void>,
): Promise<number> {
  const request = inner._execRequestAsync;
  const dispatch = inner.dispatchEvent;
  let operations = 0;
  let die: () => void = () => {};
  const death = new Promise<void>((resolve) => (die = resolve));
  const isDead = () => failure === 'killed' && operations >= at;

  inner._execRequestAsync = function (this: Internals, asked) {
    if (this.mode === 'versionchange' || asked.source === undefined)
      return request.call(this, asked);
    return request.call(this, {
      ...asked,
      operation: () => {
        operations += 1;
        if (isDead()) throw new DOMException('the process was killed', 'AbortError');
        if (failure === 'request' && operations === at) {
          throw new DOMException('the disk failed', 'UnknownError');
        }
        if (failure === 'full' && operations >= at && this.mode === 'readwrite') {
          throw new DOMException('the disk is full', 'QuotaExceededError');
        }
        return asked.operation();
      },
    });
  };
  inner.dispatchEvent = function (this: Internals, event) {
    if (event.type !== 'complete' || this.mode !== 'readwrite') return dispatch.call(this, event);
    operations += 1;
    if (isDead()) {
      this._prioritizedListeners.get(event.type)?.();
      die();
      return true;
    }
    if (failure === 'commit' && operations === at) {
      this._abort('QuotaExceededError');
      return true;
    }
    if (failure === 'full' && operations >= at) {
      this._abort('QuotaExceededError');
      return true;
    }
    if (failure === 'unheard' && operations === at) {
      event.type = 'abort';
    }
    return dispatch.call(this, event);
  };
  try {
    await Promise.race([work(), death]);
    return operations;
  } finally {
    inner._execRequestAsync = request;
    inner.dispatchEvent = dispatch;
  }
}
