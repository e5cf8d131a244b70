/** A scene as a short text: what a later event could ask about, and nothing else. */
import { now } from './clock.ts';
import { FRESH, type PointPosition, type Scene, type Stage } from './scene.ts';

const stages: Readonly<Record<Stage, string>> = {
  notOpened: 'n',
  atWork: 'w',
  toolsDown: 'd',
  parked: 'p',
  ended: 'e',
};
const positions: Readonly<Record<PointPosition, string>> = { closed: 'c', open: 'o', unknown: 'u' };

/** Lengths stand before every free text, so that no text can pass for another list. */
function text(free: string): string {
  return `${free.length}:${free}`;
}

export function sceneKey(scene: Scene): string {
  let key = stages[scene.stage] + String.fromCharCode(...scene.steps.map((marks) => marks + 32));
  for (const point of scene.points) key += positions[point];
  for (const end of scene.ends) key += end ? 'o' : 'c';
  key += scene.window;
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
  return key + instrumentsKey(scene) + timesKey(scene);
}

function instrumentsKey({ instruments }: Scene): string {
  let key = '';
  for (const { id, category, volts, due } of instruments) {
    key += `#${text(id)}${text(category)}${text(volts)}${text(due)}`;
  }
  return key;
}

/** Ages where time is kept; where it is told, only the waits need a clock. */
function timesKey(scene: Scene): string {
  const time = scene.time === 'kept' ? now(scene) : 0;
  let key = `@${text(scene.clock.boot)}`;
  for (const since of scene.isolatedAt) key += since < 0 ? '-' : `${time - since},`;
  for (const { step, at } of scene.made) {
    if (((scene.steps[step] ?? 0) & FRESH) !== 0) key += `!${step},${time - at}`;
  }
  return key;
}
