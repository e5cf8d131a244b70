/** One process of a mutation run: judges the changes that it is sent, one after the other. */
import { allPlaces, Bench } from './bench.ts';

export interface Task {
  readonly number: number;
  /** CPU time in ms after which it is put off; without, it is asked of all. */
  readonly most?: number;
}

const { places, texts } = allPlaces();
const bench = new Bench(texts);
await bench.rehearse();
process.on('message', ({ number, most = Infinity }: Task) => {
  const place = places[number];
  if (!place) throw new Error(`There is no change ${number}.`);
  void bench.judge(number, place, most).then((verdict) => process.send?.({ number, verdict }));
});
process.send?.('ready');
