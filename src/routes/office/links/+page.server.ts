import { base } from '$app/paths';
import { may } from '#lib/server/accounts/roles.ts';
import { house } from '#lib/server/house.ts';
import { endShare, listShares, makeShare } from '#lib/server/shares/share-link.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  const { role } = allowed(locals, 'look');
  const { database, now } = house();
  return { links: await listShares(database.rows, now()), mayShare: may(role, 'share') };
};

export const actions: Actions = {
  make: async ({ request, locals, url }) => {
    const by = allowed(locals, 'share');
    const form = await request.formData();
    const asked = {
      job: textIn(form, 'job').trim(),
      reader: textIn(form, 'reader'),
      withhold: textIn(form, 'withhold').split(/\s+/).filter(Boolean),
      days: Number(textIn(form, 'days')),
    };
    const made = await makeShare(house(), asked, by.id);
    if (!made.ok) return said(made);
    const address = `${house().settings.origin ?? url.origin}${base}`;
    return { link: `${address}/share/${made.value.token}` };
  },
  end: async ({ request, locals }) => {
    const by = allowed(locals, 'share');
    const ended = await endShare(house(), textIn(await request.formData(), 'share'), by.id);
    return ended.ok ? {} : said(ended);
  },
};
