import { may } from '#lib/server/accounts/roles.ts';
import { runningClocks, settleClock, takeClock } from '#lib/server/comeback/come-back.ts';
import { house } from '#lib/server/house.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  const { role } = allowed(locals, 'look');
  const { database, settings, now } = house();
  return {
    clocks: await runningClocks(database.rows, settings.escalation, now()),
    mayWatch: may(role, 'watch'),
  };
};

export const actions: Actions = {
  take: async ({ request, locals }) => {
    const by = allowed(locals, 'watch');
    const taken = await takeClock(house(), textIn(await request.formData(), 'clock'), by.id);
    return taken.ok ? {} : said(taken);
  },
  settle: async ({ request, locals }) => {
    const by = allowed(locals, 'watch');
    const settled = await settleClock(house(), textIn(await request.formData(), 'clock'), by.id);
    return settled.ok ? {} : said(settled);
  },
};
