// The whole range job as a technician does it, from the first step to the hold that seals it.
import { readFileSync } from 'node:fs';
import { parse } from 'yaml';
import { pictureFrom, type JobHand } from './job-hand.ts';

const text = readFileSync(
  new URL('../../checklists/range-door-lock.yaml', import.meta.url),
  'utf8',
);
interface Listed {
  readonly id: string;
  readonly say: string;
  readonly states?: string;
  readonly options?: Readonly<Record<string, string>>;
}
const list = parse(text) as { readonly steps: readonly Listed[] };

export function step(id: string): Listed {
  const found = list.steps.find((each) => each.id === id);
  if (found === undefined) throw new Error(`The checklist has no step ${id}.`);
  return found;
}

export const CONNECTORS = ['COM', 'NO', 'NC', 'M1', 'M2', 'P1'] as const;

/** Everything up to the first connector that goes home. */
export async function untilRefit(hand: JobHand, harness = '0.3'): Promise<void> {
  await arrive(hand);
  await isolate(hand);
  await prove(hand, 'dead');
  await open(hand);
  await takeOff(hand);
  await measure(hand, harness);
}

/** From the last connector to the seal. */
export async function closeAndFinish(hand: JobHand): Promise<void> {
  await close(hand);
  await restore(hand);
  await finish(hand);
}

async function state(hand: JobHand, id: string): Promise<void> {
  const { say, states } = step(id);
  await hand.at(say);
  await hand.hold(states ?? '');
}

async function choose(hand: JobHand, id: string, option: string): Promise<void> {
  const { say, options } = step(id);
  await hand.at(say);
  await hand.hold(options?.[option] ?? '');
}

async function statement(hand: JobHand, id: string, name: string | RegExp): Promise<void> {
  await hand.at(step(id).say);
  await hand.hold(name);
}

export async function arrive(hand: JobHand): Promise<void> {
  await statement(hand, 'told', /Everybody here has been told/u);
  await state(hand, 'scene');
  await hand.at(step('supply').say);
  await hand.figures('119.8', '119.6', '0.4');
  await hand.hold('Write them down');
  await hand.at(step('case').say);
  await hand.figures('120', '119.7', '0.3', '0.2');
  await hand.hold('The case and the metal near it are read');
  await hand.at(step('plate').say);
  await hand.photo('Take the photo', await pictureFrom(hand.page, 'PLATE 240 V'));
  await choose(hand, 'complaint', 'silent');
  await choose(hand, 'lamp', 'follows');
  await state(hand, 'count');
}

/** Cut, locked, released and ready to be proved dead. */
export async function isolate(hand: JobHand): Promise<void> {
  await statement(hand, 'find-breaker', /off, on, off and on again/u);
  await statement(hand, 'breaker-off', /open, and I see it/u);
  await state(hand, 'dark');
  await hand.at(step('breaker-lock').say);
  await hand.fill('Number on the lock', '4');
  await hand.hold(/Lock 4 hangs on/u);
  await statement(hand, 'gloves', /On me and looked over/u);
  await hand.at(step('cool').say);
  await hand.figure('24.5', '°C', 'Write it down');
  await statement(hand, 'strap-on', /In place/u);
  await statement(hand, 'springs', /The strap holds the shut door/u);
  await choose(hand, 'anti-tip', 'engaged');
  await state(hand, 'slack');
  await state(hand, 'pull');
  await statement(hand, 'unplug', /open, and I see it/u);
  await hand.at(step('residual').say);
  await hand.figure('0.2', undefined, 'Write it down');
}

async function prove(hand: JobHand, id: string): Promise<void> {
  await hand.at(step(id).say);
  await hand.figures('119.9', '0.1', '0.0', '0.0', '0.1', '0.0', '0.0', '119.8');
  await hand.hold(/Every pair is dead/u);
}

async function open(hand: JobHand): Promise<void> {
  await statement(hand, 'rear-off', /Open: Rear cover/u);
  await prove(hand, 'dead-block');
  await statement(hand, 'screws-out', /Open: Front screws/u);
  await statement(hand, 'top-up', /In place: Prop/u);
  await statement(hand, 'shake', /stays up when it is pushed/u);
}

async function takeOff(hand: JobHand): Promise<void> {
  await hand.at(step('wires').say);
  await hand.photo('Photograph the wiring', await pictureFrom(hand.page, 'WIRING'));
  await pullAll(hand);
}

/** Every connector pinned on the photo of the wiring and taken off. */
export async function pullAll(hand: JobHand): Promise<void> {
  for (const [index, terminal] of CONNECTORS.entries()) {
    await hand.pin(index);
    if (terminal === 'NC') await hand.tap('blue');
    await hand.tap(terminal);
    await hand.page.getByText(`${index + 1} connector`).waitFor();
  }
  await hand.tap(/That was all/u);
}

export async function measure(hand: JobHand, harness: string): Promise<void> {
  await reading(hand, 'leads', '0.2', 'Ω');
  await hand.at(step('door-switch').say);
  await hand.contacts('Closed', 'Open', 'Closed', 'Open');
  await hand.at(step('lock-switch').say);
  await hand.contacts('Open', 'Closed');
  await hand.at(step('unlock-switch').say);
  await hand.contacts('Closed', 'Open');
  await reading(hand, 'motor', '2.61', 'kΩ');
  await reading(hand, 'motor-case', 'OL', 'MΩ');
  await reading(hand, 'sensor', '1.09', 'kΩ');
  await reading(hand, 'harness', harness, 'Ω');
  await choose(hand, 'board-look', 'clean');
  await choose(hand, 'latch-look', 'free');
  await choose(hand, 'verdict', 'position-switch');
  await state(hand, 'fit');
}

async function reading(hand: JobHand, id: string, figure: string, unit: string): Promise<void> {
  await hand.at(step(id).say);
  await hand.figure(figure, unit, 'Write it down');
}

/** Home goes every connector from the last one taken off down to this one, counted from 1. */
export async function reseat(hand: JobHand, from: number, to: number): Promise<void> {
  await hand.at(step('rewire').say);
  for (let number = from; number >= to; number--) {
    const terminal = CONNECTORS[number - 1];
    await hand.hold(new RegExp(`Home and tugged: ${number}.* at ${terminal}`, 'u'));
    const home = CONNECTORS.length - number + 1;
    if (home < CONNECTORS.length)
      await hand.page.getByText(`${home} of ${CONNECTORS.length} reseated`).waitFor();
  }
}

async function close(hand: JobHand): Promise<void> {
  await statement(hand, 'top-down', /Taken out: Prop/u);
  await statement(hand, 'screws-in', /Back as it was: Front screws/u);
  await statement(hand, 'rear-on', /Back as it was: Rear cover/u);
  await statement(hand, 'strap-off', /Taken out: Strap/u);
  await reading(hand, 'bond', '0.08', 'Ω');
  await hand.at(step('insulation').say);
  await hand.tap(/^Not done, because/u);
  await hand.hold('The instrument for it is not here');
}

async function restore(hand: JobHand): Promise<void> {
  await statement(hand, 'clear', /clear, tools counted/u);
  await statement(hand, 'unlock', /My own lock is off/u);
  await statement(hand, 'plug-in', /closed again/u);
  await state(hand, 'push-back');
  await statement(hand, 'power', /closed again/u);
  await hand.at(step('case-again').say);
  await hand.figures('119.7', '0.3', '0.2');
  await hand.hold('The case and the metal near it are read');
}

async function finish(hand: JobHand): Promise<void> {
  await choose(hand, 'function', 'works');
  await state(hand, 'anti-tip-on');
  await state(hand, 'loads');
  await statement(hand, 'customer', /Everybody here has been told/u);
  await statement(hand, 'done', /I did this work as the record says/u);
  await hand.hold('Hand back and seal the record');
}
