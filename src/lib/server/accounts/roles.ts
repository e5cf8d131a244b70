/** Who may do what in the office. Nobody on site has an account. */
export const ROLES = ['officer', 'dispatcher', 'reader'] as const;
export type Role = (typeof ROLES)[number];

/**
 * `look`: read records. `watch`: take come-back clocks. `letIn`: give codes to devices. `end`: end keys
 * and devices, settle flags. `share`: give links to bags. `accounts`: make and change accounts. `review`:
 * second looks, the programme, and what the office says about jobs.
 */
export type Right = 'look' | 'watch' | 'letIn' | 'end' | 'share' | 'accounts' | 'review';

const RIGHTS: Readonly<Record<Role, readonly Right[]>> = {
  officer: ['look', 'watch', 'letIn', 'end', 'share', 'accounts', 'review'],
  dispatcher: ['look', 'watch', 'letIn'],
  reader: ['look'],
};

export function may(role: Role, right: Right): boolean {
  return RIGHTS[role].includes(right);
}

export function isRole(text: string): text is Role {
  return (ROLES as readonly string[]).includes(text);
}
