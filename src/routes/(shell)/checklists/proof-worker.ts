/** Walks the plain ways of a draft beside the page, so that typing never waits for it. */
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { plainWays } from '#lib/core/prove/plain-ways.ts';
import { commandsOf } from '#lib/core/prove/trace.ts';
import type { ProofAsked, ProofSaid } from './proof-work.ts';

const say = (said: ProofSaid) => postMessage(said);

addEventListener('message', ({ data }: MessageEvent<ProofAsked>) => {
  const loaded = loadChecklist(data.text, 'form');
  if (!loaded.ok) {
    say({ kind: 'unreadable' });
    return;
  }
  const began = performance.now();
  const seconds = () => (performance.now() - began) / 1000;
  const walked = plainWays(loaded.checklist, {
    states: data.states,
    progress: (states) => {
      say({ kind: 'walking', states });
      return seconds() < data.seconds;
    },
  });
  const { states, complete, wrong } = walked;
  say({
    kind: 'found',
    found: {
      states,
      complete,
      seconds: Math.round(seconds() * 10) / 10,
      wrong: wrong === null ? null : { end: wrong.end, commands: commandsOf(wrong.path) },
    },
  });
});
