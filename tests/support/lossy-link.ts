/** A link that drops, repeats, delays and cuts, as a seed says. */
import type { Fetch } from '#lib/device/sync/server-link.ts';
import type { Random } from './seeded.ts';

export interface Weather {
  /** Chances from 0 to 1. */
  readonly lostOnTheWay: number;
  readonly lostOnTheWayBack: number;
  readonly twice: number;
  /** The answer is cut in the middle. */
  readonly cut: number;
  /** An old request arrives again later, out of its order. */
  readonly late: number;
}

export const BAD_WEATHER: Weather = {
  lostOnTheWay: 0.15,
  lostOnTheWayBack: 0.15,
  twice: 0.15,
  cut: 0.1,
  late: 0.1,
};

export interface LossyLink {
  readonly fetch: Fetch;
  /** How often each happened: a run in fine weather would show nothing. */
  readonly met: Record<keyof Weather, number>;
}

/** @param answer what the other end would say */
export function lossyLink(answer: Fetch, random: Random, weather: Weather): LossyLink {
  const held: (() => Promise<unknown>)[] = [];
  const met = { lostOnTheWay: 0, lostOnTheWayBack: 0, twice: 0, cut: 0, late: 0 };
  const strikes = (what: keyof Weather): boolean => {
    const struck = random() < weather[what];
    if (struck) met[what] += 1;
    return struck;
  };
  const fetch: Fetch = async (address, init) => {
    const body = init.body instanceof Blob ? await init.body.arrayBuffer() : init.body;
    const send = () => answer(address, { ...init, body: body ?? null });
    if (strikes('late')) held.push(send);
    if (held.length > 0 && random() < 0.5)
      await held
        .shift()?.()
        .catch(() => {});
    if (strikes('lostOnTheWay')) throw new TypeError('lost on the way');
    if (strikes('twice')) await send().catch(() => {});
    const response = await send();
    if (strikes('lostOnTheWayBack')) throw new TypeError('lost on the way back');
    if (!strikes('cut')) return response;
    const text = await response.text();
    const { status } = response;
    return new Response(text.slice(0, Math.floor(text.length * random())), { status });
  };
  return { fetch, met };
}
