/** Commands as `replay` reads them, one JSON object a line. */
import type { Command } from '#lib/core/job/commands.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';

export type CommandsRead =
  | { readonly ok: true; readonly commands: readonly Command[] }
  | { readonly ok: false; readonly line: number; readonly says: string };

export function readCommands(text: string): CommandsRead {
  const commands: Command[] = [];
  for (const [at, line] of text.split('\n').entries()) {
    if (line.trim() === '') continue;
    let value: unknown;
    try {
      value = JSON.parse(line);
    } catch (error) {
      return { ok: false, line: at + 1, says: (error as Error).message };
    }
    const read = parseCommand(value);
    if (!read.ok) return { ok: false, line: at + 1, says: read.says };
    commands.push(read.command);
  }
  if (commands.length === 0) return { ok: false, line: 1, says: 'There is no command in it.' };
  return { ok: true, commands };
}
