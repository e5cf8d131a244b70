/** One decision while it is being made: what stands against it, and what would follow. */
import type { Block } from './block.ts';
import type { Command } from './commands.ts';
import type { EventBodies, EventType, JobEvent, Stamp, StepResult } from './events.ts';
import type { JobState } from './state.ts';

export interface Turn {
  readonly state: JobState;
  readonly command: Command;
  readonly blocks: Block[];
  readonly events: JobEvent[];
  /** Kept in the record with a refusal. */
  readonly kept: { result?: StepResult; live?: string; caseLive?: string; doubt?: string };
}

function stampOf(command: Stamp): Stamp {
  return { at: command.at, mono: command.mono, boot: command.boot, by: command.by };
}

export function eventOf<T extends EventType>(
  command: Stamp,
  type: T,
  body: EventBodies[T],
  secret?: Readonly<Record<string, string>>,
): JobEvent {
  const event = { ...stampOf(command), type, body };
  return (secret === undefined ? event : { ...event, private: secret }) as unknown as JobEvent;
}

export function emit<T extends EventType>(
  turn: Turn,
  type: T,
  body: EventBodies[T],
  secret?: Readonly<Record<string, string>>,
): void {
  turn.events.push(eventOf(turn.command, type, body, secret));
}
