import { listDevices } from '#lib/server/devices/device-list.ts';
import { revokeDevice, revokeKey } from '#lib/server/devices/end-keys.ts';
import { offerEnrolment } from '#lib/server/devices/offer-enrolment.ts';
import { house } from '#lib/server/house.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import { base } from '$app/paths';
import { may } from '#lib/server/accounts/roles.ts';
import { renderSVG } from 'uqr';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  const { role } = allowed(locals, 'look');
  return {
    devices: await listDevices(house().database.rows),
    mayLetIn: may(role, 'letIn'),
    mayEnd: may(role, 'end'),
  };
};

/** One person a line: `mara Mara Quill`; the name may be left out for somebody who is known. */
function peopleIn(text: string) {
  return text
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '')
    .map((line) => {
      const [id = '', ...name] = line.split(/\s+/);
      return { id, name: name.join(' ') };
    });
}

export const actions: Actions = {
  offer: async ({ request, locals, url }) => {
    const by = allowed(locals, 'letIn');
    const form = await request.formData();
    const offer = {
      label: textIn(form, 'label'),
      people: peopleIn(textIn(form, 'people')),
      newcomers: textIn(form, 'newcomers') === 'yes',
    };
    const offered = await offerEnrolment(house(), offer, by.id);
    if (!offered.ok) return said(offered);
    const { code, endsAt } = offered.value;
    const address = `${house().settings.origin ?? url.origin}${base}`;
    // After the # nothing of it is ever sent anywhere by itself.
    const picture = `data:image/svg+xml,${encodeURIComponent(renderSVG(`${address}/sending#let-in=${code}`))}`;
    return { code, endsAt, address, picture };
  },
  endDevice: async ({ request, locals }) => {
    const by = allowed(locals, 'end');
    const form = await request.formData();
    const ended = await revokeDevice(house(), textIn(form, 'device'), reasonIn(form), by.id);
    return ended.ok ? { ended: true } : said(ended);
  },
  endKey: async ({ request, locals }) => {
    const by = allowed(locals, 'end');
    const form = await request.formData();
    const ended = await revokeKey(house(), textIn(form, 'key'), reasonIn(form), by.id);
    return ended.ok ? { ended: true } : said(ended);
  },
};

const REASONS = ['lost', 'stolen', 'left', 'replaced'];

/** A word of a fixed list: it stands in the tree for ever, where no name may. */
function reasonIn(form: FormData): string {
  const reason = textIn(form, 'why');
  return REASONS.includes(reason) ? reason : 'replaced';
}
