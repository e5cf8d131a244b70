/** The polisher with more on it: gas behind a cock of its own, a lock on its plug, more to wear. */
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import { POLISHER, STEPS, polisherWith } from './polisher.ts';

/** The steps with others put before or after some of them. */
const among = (at: Readonly<Record<string, readonly Step[]>>): Step[] =>
  STEPS.flatMap((step) => [...(at[`before ${step.id}`] ?? []), step, ...(at[step.id] ?? [])]);

const cock = { source: 'gas', point: 'cock' } as const;

export const SHOP: Checklist = polisherWith({
  sources: {
    ...POLISHER.sources,
    gas: {
      kind: 'gas',
      label: 'Gas',
      points: { cock: { label: 'Cock', by: 'valve', control: 'lock' } },
    } as never,
  },
  steps: among({
    'before gloves': [
      { id: 'gas-off', phase: 'isolate', do: 'isolate', ...cock, say: 'Shut it.' },
      { id: 'gas-lock', phase: 'isolate', do: 'lock', ...cock, say: 'Lock it.' },
    ],
    'before unlock': [
      { id: 'gas-unlock', phase: 'restore', do: 'unlock', ...cock, say: 'Unlock.' },
      { id: 'gas-on', phase: 'restore', do: 'restore', ...cock, say: 'Open it.' },
    ],
  }),
});

/** With a lock on the plug, too, that no step of its own takes off. */
export const PLUGGED: Checklist = polisherWith({
  steps: among({
    unplug: [
      {
        id: 'plug-lock',
        phase: 'isolate',
        do: 'lock',
        source: 'mains',
        point: 'plug',
        say: 'Lock the plug.',
      },
    ],
  }),
});

/** With a shield that goes on, and a ring that comes off. */
export const SHIELDED: Checklist = polisherWith({
  steps: among({
    gloves: [
      { id: 'ring', phase: 'isolate', do: 'wear', off: ['ring'], say: 'Take the ring off.' },
      { id: 'shield', phase: 'isolate', do: 'wear', on: ['face shield'], say: 'Put it on.' },
    ],
  }).map((step) =>
    step.id === 'raise' ? { ...step, wearing: ['face shield'], bare: ['ring'] } : step,
  ),
});
