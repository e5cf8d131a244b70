import { error } from '@sveltejs/kit';
import { may } from '#lib/server/accounts/roles.ts';
import { house } from '#lib/server/house.ts';
import { amendJob, countersign, noteOnJob } from '#lib/server/looks/job-acts.ts';
import { jobStory } from '#lib/server/overview/job-story.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals, params }) => {
  const { role } = allowed(locals, 'look');
  const officer = may(role, 'review');
  const { database, now } = house();
  const story = await jobStory(database.rows, params.id, { officer, now: now() });
  if (story === null) error(404, { message: 'There is no such job here.', code: 'no-job' });
  return { ...story, mayReview: officer };
};

export const actions: Actions = {
  note: async ({ request, locals, params }) => {
    const by = allowed(locals, 'review');
    const text = textIn(await request.formData(), 'text');
    const done = await noteOnJob(house(), { job: params.id, text }, by.id);
    return done.ok ? {} : said(done);
  },
  countersign: async ({ request, locals, params }) => {
    const by = allowed(locals, 'review');
    const text = textIn(await request.formData(), 'text');
    const done = await countersign(house(), { job: params.id, text }, by.id);
    return done.ok ? {} : said(done);
  },
  amend: async ({ request, locals, params }) => {
    const by = allowed(locals, 'review');
    const form = await request.formData();
    const seq = Number(textIn(form, 'seq'));
    const done = await amendJob(
      house(),
      { job: params.id, text: textIn(form, 'text'), seq },
      by.id,
    );
    return done.ok ? {} : said(done);
  },
};
