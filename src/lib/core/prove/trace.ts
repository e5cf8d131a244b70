/**
 * A path of moves as commands that `replay` runs: the explorer's clock stands still, a replay's does not,
 * so every command is a second after the last one and every wait has passed.
 */
import type { Command } from '../job/commands.ts';
import type { Move } from './moves.ts';

/** Between two commands, in milliseconds: short enough that no shelf life runs out by itself. */
const BETWEEN_MS = 1000;
/** Noon, so that the wall's date is the same in every place. */
const FIRST_SECOND = 12 * 3600;
const DAY_SECONDS = 24 * 3600;

const two = (value: number): string => String(value).padStart(2, '0');

/** RFC 3339 for a number of milliseconds after noon of 1 January 2026; up to 30 days. */
function wallAt(ms: number): string {
  const seconds = FIRST_SECOND + Math.floor(ms / 1000);
  const day = 1 + Math.floor(seconds / DAY_SECONDS);
  const [hour, minute] = [Math.floor(seconds / 3600) % 24, Math.floor(seconds / 60) % 60];
  const fraction = String(ms % 1000).padStart(3, '0');
  return `2026-01-${two(day)}T${two(hour)}:${two(minute)}:${two(seconds % 60)}.${fraction}Z`;
}

/** The commands of a path, in order; one JSON line each makes the file that `replay` reads. */
export function commandsOf(path: readonly Move[]): Command[] {
  let mono = 0;
  return path.map(({ command }) => {
    mono += BETWEEN_MS + command.mono;
    return { ...command, at: wallAt(mono), mono };
  });
}
