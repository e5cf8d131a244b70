/** The opening of a job: where, who, and with which instruments. */
import { block } from './block.ts';
import type { Command } from './commands.ts';
import { emit, type Turn } from './turn.ts';

export function open(turn: Turn, command: Command & { command: 'open' }): void {
  const { state } = turn;
  if (state.status !== 'notOpened') block(turn, 'order', 'alreadyOpen');
  if (command.site.trim() === '') block(turn, 'bad-input', 'wallText', { field: 'site' });
  if (!command.people.some((person) => person.id === command.by)) {
    block(turn, 'people', 'notHere', { person: command.by });
  }
  command.people.forEach(({ id }, at) => {
    if (id.trim() === '') block(turn, 'bad-input', 'wallText', { field: 'person' });
    const twice = command.people.findIndex((person) => person.id === id) < at;
    if (twice) block(turn, 'people', 'alreadyHere', { person: id });
  });
  const cards = command.instruments.map((card) => card.id);
  for (const card of cards.filter((card, at) => cards.indexOf(card) < at)) {
    block(turn, 'bad-input', 'valueBad', { says: `Instrument ${card} is listed twice.` });
  }
  const lead = command.people.find((person) => person.id === command.by);
  const wantedCompetence = state.plan.checklist.competence;
  const missing = wantedCompetence.filter((each) => !lead?.competence.includes(each));
  if (lead && missing.length > 0) {
    block(turn, 'competence', 'competence', { person: lead.id, missing: missing.join(', ') });
  }
  const { id, revision } = state.plan.checklist;
  const names = command.people.flatMap(({ id: person, name }) =>
    name === undefined ? [] : [[`name.${person}`, name] as const],
  );
  emit(
    turn,
    'job.opened',
    {
      checklist: { id, revision, sha256: state.sha256 },
      people: command.people.map((person) => ({ id: person.id, competence: person.competence })),
      instruments: command.instruments,
      demo: command.demo === true,
      ...(command.previous === undefined ? {} : { previous: command.previous }),
    },
    { site: command.site, ...Object.fromEntries(names) },
  );
}
