import { may } from '#lib/server/accounts/roles.ts';
import { openFlags, settleFlag } from '#lib/server/flags.ts';
import { house } from '#lib/server/house.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  const { role } = allowed(locals, 'look');
  return { flags: await openFlags(house().database.rows), maySettle: may(role, 'end') };
};

export const actions: Actions = {
  settle: async ({ request, locals }) => {
    const by = allowed(locals, 'end');
    const form = await request.formData();
    const no = Number(textIn(form, 'flag'));
    const settled = await settleFlag(house(), no, textIn(form, 'why'), by.id);
    return settled.ok ? {} : said(settled);
  },
};
