/** Commands about who is here: join, leave, hand over, take a lock off for somebody who is away. */
import { block } from './block.ts';
import type { Command } from './commands.ts';
import type { PlanPoint } from './plan.ts';
import { isNoLock } from './results.ts';
import { personOf, presentCount } from './state.ts';
import { emit, type Turn } from './turn.ts';

export function join(turn: Turn, command: Command & { command: 'join' }): void {
  const { id, name } = command.person;
  /* Whoever comes back by name alone is authorized for what they were. */
  const known = personOf(turn.state, id)?.competence ?? [];
  const competence = command.person.competence.length > 0 ? command.person.competence : known;
  if (id.trim() === '') block(turn, 'bad-input', 'wallText', { field: 'person' });
  if (personOf(turn.state, id)?.present) block(turn, 'people', 'alreadyHere', { person: id });
  if (turn.state.window !== undefined) block(turn, 'live-window', 'windowOpen');
  emit(
    turn,
    'person.joined',
    { person: id, competence, ...(command.hand === undefined ? {} : { hand: command.hand }) },
    name === undefined ? undefined : { name },
  );
}

export function leave(turn: Turn, command: Command & { command: 'leave' }): void {
  const { state } = turn;
  const person = personOf(state, command.person);
  if (!person?.present) block(turn, 'people', 'notHere', { person: command.person });
  if (state.window !== undefined) block(turn, 'live-window', 'leaveWindow');
  if (person?.present && presentCount(state) < 2) block(turn, 'park-incomplete', 'leaveLast');
  const own = state.locks.filter((lock) => lock.owner === command.person && !lock.parked);
  if (own.length > 0 && command.by !== command.person) {
    const lock = own[0];
    const point = state.plan.points[lock?.point ?? 0]?.label ?? '';
    block(turn, 'lock-owner', 'leaveLocks', { lock: lock?.number ?? '', point });
  }
  emit(turn, 'person.left', { person: command.person, locks: own.map((lock) => lock.number) });
}

/** A lock that is named has to be one, and not to hang already; the firm's own may hang on. */
export function blockNoLock(turn: Turn, number: string): void {
  const { state } = turn;
  if (isNoLock(number)) block(turn, 'tag-not-enough', 'tagNotEnough', { lock: number });
  const used = state.locks.find((lock) => lock.number === number && !lock.parked);
  const point = state.plan.points[used?.point ?? -1]?.label ?? '';
  if (used) block(turn, 'lock-owner', 'lockUsed', { lock: number, point });
}

export function handOver(turn: Turn, command: Command & { command: 'handOver' }): void {
  const { state } = turn;
  const to = personOf(state, command.to);
  if (!to?.present || command.to === command.by) block(turn, 'people', 'handTo');
  if (state.window !== undefined) block(turn, 'live-window', 'leaveWindow');
  const bare = state.locks.filter(
    (lock) =>
      lock.owner === command.by &&
      !lock.parked &&
      !state.locks.some(
        (each) => each.owner === command.to && each.point === lock.point && !each.parked,
      ),
  );
  const number = (command.lock ?? '').trim();
  /* One lock covers one point; at the others the incoming lock goes on by its own step first. */
  for (const lock of number === '' ? bare : bare.slice(1)) {
    const point = state.plan.points[lock.point] as PlanPoint;
    const args = { person: command.to, point: point.label };
    block(turn, 'lock-owner', 'handLock', args, point.lockSteps);
  }
  if (number !== '' && bare.length > 0) blockNoLock(turn, number);
  emit(turn, 'job.handedOver', {
    from: command.by,
    to: command.to,
    ...(command.lock === undefined ? {} : { lock: command.lock }),
    ...(command.walked === undefined ? {} : { walked: command.walked }),
  });
}

export function removeLockFor(turn: Turn, command: Command & { command: 'removeLockFor' }): void {
  const { state } = turn;
  const lock = state.locks.find((each) => each.number === command.lock);
  const owner = lock?.owner ?? '';
  if (!lock) block(turn, 'bad-input', 'removeOwner', { lock: command.lock });
  const here = personOf(state, owner)?.present === true || owner === command.by;
  if (here) block(turn, 'lock-owner', 'removeHere', { person: owner });
  const tried = command.tried.filter((each) => each.trim() !== '');
  if (command.away.trim() === '' || tried.length === 0 || command.informed.trim() === '') {
    block(turn, 'lock-owner', 'removeFacts', { person: owner });
  }
  if (command.authorizedBy.trim() === '' || command.authorizedBy === command.by) {
    block(turn, 'lock-owner', 'removeTwo');
  }
  const { away, informed, authorizedBy, photos } = command;
  emit(turn, 'lock.removedFor', {
    lock: command.lock,
    owner,
    away,
    tried,
    informed,
    authorizedBy,
    ...(photos === undefined ? {} : { photos }),
  });
}
