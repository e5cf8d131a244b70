/** What was entered before on this device and is offered again; nothing of it is part of a record. */
import type { Instrument } from '#lib/core/job/events.ts';
import type { Remembered } from '#lib/ui/desk.ts';
import { remember, remembered } from '../this-device.ts';

export class Kept implements Remembered {
  get instrument(): string {
    return remembered('instrument', '');
  }
  set instrument(id: string) {
    remember('instrument', id);
  }
  get lock(): string {
    return remembered('lock', '');
  }
  set lock(number: string) {
    remember('lock', number);
  }
  get known(): string {
    return remembered('known', '');
  }
  set known(volts: string) {
    remember('known', volts);
  }
  get place(): string {
    return remembered('place', '');
  }
  set place(site: string) {
    remember('place', site);
  }
}

/** Instruments by their cards, the one used last first. */
export function keptMeters(): readonly Instrument[] {
  return remembered<readonly Instrument[]>('meters', []);
}

/** When each meter last showed a known source right, RFC 3339, by its id. */
export function keptChecks(): Readonly<Record<string, string>> {
  return remembered<Readonly<Record<string, string>>>('checks', {});
}

export function keepCheck(meter: string): void {
  remember('checks', { ...keptChecks(), [meter]: new Date().toISOString() });
}

export function keepMeter(card: Instrument): void {
  remember('meters', [card, ...keptMeters().filter(({ id }) => id !== card.id)]);
}

/** The language that each person reads, by their id, as they chose it on this device. */
export function languagesRead(): Readonly<Record<string, string>> {
  return remembered<Readonly<Record<string, string>>>('languages', {});
}

export function keepLanguage(person: string, language: string): void {
  remember('languages', { ...languagesRead(), [person]: language });
}
