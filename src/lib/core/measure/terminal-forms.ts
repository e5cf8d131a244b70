/**
 * Every healthy way in which the terminals of an unmarked switch can be wired: 6 for a change-over of
 * three terminals; 36 for four (one NC and one NO pair, two NC, two NO, a change-over and a spare).
 */
export type State = 'rest' | 'pressed';
export type Role = 'COM' | 'NO' | 'NC' | 'spare';

export interface Form {
  readonly kind: 'changeOver' | 'ncAndNo' | 'twoNc' | 'twoNo';
  /** Role of each terminal, in order. Two-pair forms name the pair by its kind. */
  readonly roles: readonly Role[];
  /** The pairs of terminals (by index) that are closed in each state. */
  readonly closed: Readonly<Record<State, readonly (readonly [number, number])[]>>;
}

export function formsOf(terminals: 3 | 4): readonly Form[] {
  return terminals === 3 ? threeForms : fourForms;
}

function changeOvers(terminals: readonly number[], count: number): Form[] {
  const forms: Form[] = [];
  for (const common of terminals) {
    for (const nc of terminals) {
      for (const no of terminals) {
        if (new Set([common, nc, no]).size !== 3) continue;
        const roles = Array.from({ length: count }, (_, each): Role => {
          if (each === common) return 'COM';
          if (each === nc) return 'NC';
          return each === no ? 'NO' : 'spare';
        });
        const closed = { rest: [pair(common, nc)], pressed: [pair(common, no)] };
        forms.push({ kind: 'changeOver', roles, closed });
      }
    }
  }
  return forms;
}

function pair(a: number, b: number): readonly [number, number] {
  return a < b ? [a, b] : [b, a];
}

/** The three ways to make two pairs of four terminals. */
const splits = [
  [pair(0, 1), pair(2, 3)],
  [pair(0, 2), pair(1, 3)],
  [pair(0, 3), pair(1, 2)],
] as const;

function pairForms(): Form[] {
  const forms: Form[] = [];
  for (const [one, other] of splits) {
    const mixed = (nc: readonly [number, number], no: readonly [number, number]): Form => ({
      kind: 'ncAndNo',
      roles: [0, 1, 2, 3].map((each): Role => (nc.includes(each) ? 'NC' : 'NO')),
      closed: { rest: [nc], pressed: [no] },
    });
    const four = (role: Role): Role[] => [role, role, role, role];
    forms.push(mixed(one, other), mixed(other, one));
    forms.push({ kind: 'twoNc', roles: four('NC'), closed: { rest: [one, other], pressed: [] } });
    forms.push({ kind: 'twoNo', roles: four('NO'), closed: { rest: [], pressed: [one, other] } });
  }
  return forms;
}

const threeForms: readonly Form[] = changeOvers([0, 1, 2], 3);
const fourForms: readonly Form[] = [
  ...pairForms(),
  ...[0, 1, 2, 3].flatMap((spare) =>
    changeOvers(
      [0, 1, 2, 3].filter((each) => each !== spare),
      4,
    ),
  ),
];
