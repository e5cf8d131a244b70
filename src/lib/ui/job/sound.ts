/** A few short tones and a vibration, where the browser allows either. */
export function sound(times: number): void {
  globalThis.navigator?.vibrate?.(Array.from({ length: times * 2 }, () => 200));
  if (typeof AudioContext === 'undefined') return;
  try {
    const context = new AudioContext();
    const tone = context.createOscillator();
    const volume = context.createGain();
    tone.frequency.value = 880;
    tone.connect(volume).connect(context.destination);
    const begin = context.currentTime;
    for (let at = 0; at < times; at++) {
      volume.gain.setValueAtTime(0.6, begin + at * 0.4);
      volume.gain.setValueAtTime(0, begin + at * 0.4 + 0.2);
    }
    tone.start(begin);
    tone.stop(begin + times * 0.4);
    tone.onended = () => void context.close();
  } catch {
    // No sound device; the words stay on the screen.
  }
}
