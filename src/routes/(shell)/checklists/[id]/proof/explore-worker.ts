/** Explores a checklist beside the page, and says how far it is. */
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { boundsOf, USUAL_CONNECTORS, USUAL_PEOPLE } from '#lib/core/prove/bounds.ts';
import { explore } from '#lib/core/prove/explore.ts';
import { guardsOf, type NamedGuard } from '#lib/core/prove/guards.ts';
import { reach } from '#lib/core/prove/reach.ts';
import { PROPERTY_IDS } from '#lib/core/safety/index.ts';
import type { ExploreAsked, ExploreFound, ExploreSaid, GateFor } from './exploring-work.ts';

const say = (said: ExploreSaid) => postMessage(said);

/** A gate of a step's own is named `STEP needs OTHER`, `STEP wants people` or `STEP wants worn or bare`. */
function gateFor({ gate, kind, serves, report }: NamedGuard): GateFor {
  const base = { serves, ...(report === undefined ? {} : { report }) };
  if (kind !== 'own') return { gate, ...base };
  const [step = '', how, what = ''] = gate.split(' ');
  if (how === 'needs') return { gate: 'needs', step, needed: what, ...base };
  return { gate: what === 'people' ? 'people' : 'wear', step, ...base };
}

function explored(checklist: Checklist, states: number): ExploreFound {
  const began = performance.now();
  const bounds = boundsOf(checklist, USUAL_PEOPLE, USUAL_CONNECTORS);
  const progress = (found: number) => {
    say({ kind: 'walking', states: found });
    return true;
  };
  const beside = explore(checklist, bounds, { states, progress });
  const engine = beside.complete ? reach(checklist, bounds, { states, progress }) : undefined;
  return {
    states: beside.states,
    transitions: beside.transitions,
    complete: beside.complete && engine?.complete === true,
    seconds: Math.round((performance.now() - began) / 100) / 10,
    byPhase: beside.byPhase,
    properties: PROPERTY_IDS.map((id) => ({
      id,
      holds: beside.broken.has(id) ? false : beside.complete ? true : null,
    })),
    deadEnds: engine?.complete === true ? engine.deadEnds.length : null,
  };
}

addEventListener('message', ({ data }: MessageEvent<ExploreAsked>) => {
  const loaded = loadChecklist(data.text);
  if (!loaded.ok) {
    say({ kind: 'unreadable' });
    return;
  }
  const guards = guardsOf(planOf(loaded.checklist));
  say({
    kind: 'gates',
    gates: guards.filter(({ kind }) => kind !== 'lapse').map(gateFor),
    lapses: guards.filter(({ kind }) => kind === 'lapse').map(gateFor),
  });
  if (data.states > 0) say({ kind: 'found', found: explored(loaded.checklist, data.states) });
});
