/** Keeps the screen awake while a job is open, where the browser allows; returns how to let it sleep. */
export function keepAwake(): () => void {
  let lock: WakeLockSentinel | undefined;
  let wanted = true;

  async function ask() {
    if (!wanted || document.visibilityState !== 'visible') return;
    try {
      lock = await navigator.wakeLock?.request('screen');
      if (!wanted) await lock?.release();
    } catch {
      // A low battery or the person's setting says no; the waits run on all the same.
    }
  }

  const again = () => void ask();
  document.addEventListener('visibilitychange', again);
  again();
  return () => {
    wanted = false;
    document.removeEventListener('visibilitychange', again);
    void lock?.release();
  };
}
