import { may } from '#lib/server/accounts/roles.ts';
import { runningClocks } from '#lib/server/comeback/come-back.ts';
import { house } from '#lib/server/house.ts';
import { heldStarts, releaseStart } from '#lib/server/looks/job-acts.ts';
import { drawnOf } from '#lib/server/overview/drawn-board.ts';
import { nowBoard } from '#lib/server/overview/now.ts';
import { waitingHere } from '#lib/server/overview/waiting.ts';
import { isMadeUp } from '#lib/server/web/crew.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals, url }) => {
  const { role } = allowed(locals, 'look');
  const { database, settings, now } = house();
  const { rows } = database;
  const clocks = await runningClocks(rows, settings.escalation, now());
  const [demo, officer] = [isMadeUp(url), may(role, 'review')];
  return {
    ...drawnOf(await nowBoard(rows, demo, now())),
    waiting: await waitingHere(rows, { demo, officer, now: now() }),
    clocks: clocks.filter(({ overdue }) => overdue >= 0),
    expected: clocks.filter(({ overdue }) => overdue < 0).length,
    held: await heldStarts(rows),
    mayReview: officer,
    at: now(),
  };
};

export const actions: Actions = {
  release: async ({ request, locals }) => {
    const by = allowed(locals, 'review');
    const form = await request.formData();
    const asked = {
      job: textIn(form, 'job'),
      seq: Number(textIn(form, 'seq')),
      text: textIn(form, 'text'),
    };
    const done = await releaseStart(house(), asked, by.id);
    return done.ok ? {} : said(done);
  },
};
