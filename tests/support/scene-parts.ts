/** What a scene of the monitors says of one of the parts that the induction keeps of it. */
import type { Variables } from '#lib/core/prove/symbolic/variables.ts';
import {
  COUNTED,
  DONE,
  FRESH,
  LEFT_OUT,
  NOT_APPLICABLE,
  type Scene,
} from '#lib/core/safety/scene.ts';

export function partOf(scene: Scene, of: Variables, name: string): boolean {
  const [what = '', first = '', second = ''] = name.split(' ');
  const at = Number(first);
  const person = of.people[Number(second)] ?? '';
  const marks = scene.steps[at] ?? 0;
  const hold = (firm: boolean) =>
    scene.holds.find((each) => each.point === at && each.owner === person && each.firm === firm);
  switch (what) {
    case 'here':
      return scene.people.some(({ id }) => id === of.people[at]);
    case 'end':
      return scene.ends[at] === true;
    case 'open':
    case 'unknown':
      return scene.points[at] === what;
    case 'cut':
      return (scene.book.points[at]?.isolateSteps ?? []).some(
        (step) => ((scene.steps[step] ?? 0) & FRESH) !== 0,
      );
    case 'own':
      return hold(false) !== undefined;
    case 'sure':
      return hold(false)?.sure === true;
    case 'firm':
      return hold(true) !== undefined;
    case 'holder':
      return scene.holders[at] === person;
    case 'isolated':
      return scene.isolatedAt[at] !== Infinity;
    case 'counted':
      return scene.steps.some((each) => (each & COUNTED) !== 0);
    case 'doubted':
      return scene.doubted.length > 0;
    case 'done':
      return (marks & DONE) !== 0;
    case 'fresh':
      return (marks & FRESH) !== 0;
    case 'left':
      return (marks & LEFT_OUT) !== 0;
    case 'out':
      return (marks & NOT_APPLICABLE) !== 0;
    case 'ok': {
      const rule = of.plan.steps[at]?.when.find((each) => each.step === Number(second));
      const chosen = scene.chosen.find(({ step }) => step === Number(second))?.option;
      return chosen !== undefined && rule?.options.includes(chosen) === true;
    }
    case 'hand':
      return scene.halves.some(({ step, by }) => step === at && by === person);
    case 'unchecked':
      return scene.unchecked.some(({ step }) => step === at);
    case 'on':
    case 'off': {
      const thing = of.plan.items[at] ?? '';
      const worn = scene.people.find(({ id }) => id === person)?.worn ?? [];
      return worn.some((step) => scene.book.steps[step]?.[what].includes(thing) === true);
    }
    case 'worn':
      return scene.people.some(({ id, worn }) => id === person && worn.includes(at));
    default:
      throw new Error(`No such part: ${name}`);
  }
}
