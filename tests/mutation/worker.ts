/** One process of a mutation run: judges the numbers that it is sent, one after the other. */
import { allPlaces, Bench } from './bench.ts';

const { places, texts } = allPlaces();
const bench = new Bench(texts);
await bench.rehearse();
process.on('message', (number: number) => {
  void bench
    .judge(number, places[number]?.file ?? '')
    .then((verdict) => process.send?.({ number, verdict }));
});
process.send?.('ready');
