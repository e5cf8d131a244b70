/** A scene as a short text: what a later event could ask about, and nothing else. */
import { now } from './clock.ts';
import { FRESH, type PointPosition, type Scene, type Stage } from './scene.ts';

const stages: Readonly<Record<Stage, number>> = {
  notOpened: 0,
  atWork: 1,
  toolsDown: 2,
  parked: 3,
  ended: 4,
};
const positions: Readonly<Record<PointPosition, number>> = { closed: 0, open: 1, unknown: 2 };

export function sceneKey(scene: Scene): string {
  const codes = scene.steps.slice();
  codes.push(stages[scene.stage], scene.window + 1);
  for (const point of scene.points) codes.push(positions[point]);
  for (const end of scene.ends) codes.push(end ? 1 : 0);
  let key = String.fromCharCode.apply(null, codes);
  for (const holder of scene.holders) key += text(holder);
  for (const { id, worn } of scene.people) key += `;${text(id)}${worn.join()}`;
  for (const { point, owner, firm, number, kind, sure } of scene.holds) {
    const what = (firm ? 'f' : 'o') + (kind === 'lock' ? 'l' : 't') + (sure ? 's' : '?');
    key += `|${point},${text(owner)}${text(number)}${what}`;
  }
  for (const { id, open, reseatedBy } of scene.connectors) {
    key += `&${text(id)}${open ? 'o' : reseatedBy}`;
  }
  for (const { step, option } of scene.chosen) key += `=${step},${text(option)}`;
  for (const { step, by } of scene.halves) key += `/${step},${text(by)}`;
  for (const instrument of scene.doubted) key += `%${text(instrument)}`;
  for (const { step, instrument } of scene.unchecked) key += `~${step},${text(instrument)}`;
  return key + timesKey(scene) + scene.kit;
}

/** Lengths stand before every free text, so that no text can pass for another list. */
function text(free: string): string {
  return `${free.length}:${free}`;
}

/** Ages where time is kept; where it is told, only the waits need a clock. */
function timesKey(scene: Scene): string {
  const time = scene.time === 'kept' ? now(scene) : 0;
  let key = `@${scene.clock.boot}`;
  for (const since of scene.isolatedAt) key += since === Infinity ? ',' : `,${time - since}`;
  for (const { step, at } of scene.made) {
    if (((scene.steps[step] ?? 0) & FRESH) !== 0) key += `!${step},${time - at}`;
  }
  return key;
}
