/** Leaving a job for another day: parked usable or parked shut, with whom it was left and until when. */
import { isDate } from '../measure/dates.ts';
import { block } from './block.ts';
import type { Command } from './commands.ts';
import { blockNoLock } from './decide-people.ts';
import type { LeftOpen } from './events.ts';
import { parkShutBlocks, parkUsableBlocks } from './exits.ts';
import { emit, type Turn } from './turn.ts';

export function wanted(
  turn: Turn,
  value: string,
  key: 'parkTold' | 'parkOwner' | 'whyMissing',
): void {
  if (value.trim() === '') block(turn, 'bad-input', key);
}

/** What is said to be left open has to be something that this job knows. */
export function blockStrangeEnds(turn: Turn, left: readonly LeftOpen[]): void {
  const { plan, connectors } = turn.state;
  for (const { end } of left) {
    if (plan.endIndex.has(end) || connectors.some(({ id }) => id === end)) continue;
    const says = `“${end}” is neither an end of this checklist nor a connector that was taken off.`;
    block(turn, 'bad-input', 'valueBad', { says });
  }
}

export function park(turn: Turn, command: Command & { command: 'park' }): void {
  const { state } = turn;
  wanted(turn, command.told, 'parkTold');
  wanted(turn, command.owner, 'parkOwner');
  const day = command.until.slice(0, 10);
  if (!isDate(day) || day < command.at.slice(0, 10)) block(turn, 'bad-input', 'parkUntil');
  const lock = (command.lock ?? '').trim();
  if (lock !== '') blockNoLock(turn, lock);
  blockStrangeEnds(turn, command.left);
  if (state.window !== undefined) block(turn, 'live-window', 'leaveWindow');
  turn.blocks.push(
    ...(command.as === 'usable'
      ? parkUsableBlocks(state)
      : parkShutBlocks(state, command.left, lock)),
  );
  emit(
    turn,
    'job.parked',
    {
      as: command.as,
      until: command.until,
      left: command.left,
      ...(lock === '' ? {} : { lock }),
    },
    { told: command.told, owner: command.owner },
  );
}
