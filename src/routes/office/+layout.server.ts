import { may } from '#lib/server/accounts/roles.ts';
import type { LayoutServerLoad } from './$types';

export const load: LayoutServerLoad = ({ locals }) => ({
  person: locals.office && { name: locals.office.name, role: locals.office.role },
  mayManage: locals.office !== null && may(locals.office.role, 'accounts'),
});
