/** One process of a mutation run: judges the numbers that it is sent, one after the other. */
import { allPlaces, Bench } from './bench.ts';

const bench = new Bench(allPlaces().texts);
await bench.rehearse();
process.on('message', (number: number) => {
  void bench.judge(number).then((verdict) => process.send?.({ number, verdict }));
});
process.send?.('ready');
