/** The wall time of this moment, as a kept text carries it. */
import { wallTime } from '#lib/device/clock.ts';

export const wallNow = (): string => wallTime(new Date());
