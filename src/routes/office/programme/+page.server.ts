import { may } from '#lib/server/accounts/roles.ts';
import { house } from '#lib/server/house.ts';
import { lastScreening } from '#lib/server/looks/screening.ts';
import { inspections, keepInspection, listsDue } from '#lib/server/programme/inspections.ts';
import { endKeeping, keepByDay, keepings } from '#lib/server/programme/keepings.ts';
import { houseLimits, setLimit } from '#lib/server/programme/limits.ts';
import { drawSample, samples, type Sample } from '#lib/server/programme/samples.ts';
import { isMadeUp } from '#lib/server/web/crew.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

/** Of a large sample the page lists so many, what nobody has read yet first. */
const MOST_LISTED = 40;

function firstOfSample({ jobs, ...sample }: Sample) {
  const unread = jobs.filter(({ countersigned }) => !countersigned);
  const read = jobs.filter(({ countersigned }) => countersigned);
  const listed = [...unread, ...read].slice(0, MOST_LISTED);
  return { ...sample, count: jobs.length, signed: read.length, jobs: listed };
}

export const load: PageServerLoad = async ({ locals, url }) => {
  const { role } = allowed(locals, 'look');
  const { database, now } = house();
  const { rows } = database;
  const demo = isMadeUp(url);
  const people = await rows
    .selectFrom('people')
    .select(['id', 'name'])
    .orderBy('name')
    .limit(500)
    .execute();
  const accounts = await rows
    .selectFrom('accounts')
    .select(['id', 'name'])
    .where('disabled_at', 'is', null)
    .orderBy('name')
    .limit(500)
    .execute();
  return {
    due: await listsDue(rows, demo, now()),
    inspections: await inspections(rows),
    keepings: await keepings(rows, now()),
    samples: (await samples(rows, demo)).map(firstOfSample),
    limits: await houseLimits(rows),
    figures: (await lastScreening(rows, demo))?.figures ?? null,
    people,
    accounts,
    mayReview: may(role, 'review'),
  };
};

export const actions: Actions = {
  inspect: async ({ request, locals }) => {
    const by = allowed(locals, 'review');
    const form = await request.formData();
    const asked = {
      checklist: textIn(form, 'checklist'),
      day: textIn(form, 'day'),
      inspector: textIn(form, 'inspector'),
      people: form.getAll('people').filter((one) => typeof one === 'string'),
      machine: textIn(form, 'machine'),
      found: textIn(form, 'found'),
    };
    const done = await keepInspection(house(), asked, by.id);
    return done.ok ? { inspected: done.value.no } : said(done);
  },
  keep: async ({ request, locals }) => {
    const by = allowed(locals, 'review');
    const form = await request.formData();
    const asked = {
      kind: textIn(form, 'kind'),
      label: textIn(form, 'label'),
      person: textIn(form, 'person') || null,
      doneDay: textIn(form, 'done'),
      dueDay: textIn(form, 'due'),
    };
    const done = await keepByDay(house(), asked, by.id);
    return done.ok ? {} : said(done);
  },
  end: async ({ request, locals }) => {
    const by = allowed(locals, 'review');
    const no = Number(textIn(await request.formData(), 'no'));
    const done = await endKeeping(house(), no, by.id);
    return done.ok ? {} : said(done);
  },
  sample: async ({ locals, url }) => {
    const by = allowed(locals, 'review');
    const done = await drawSample(house(), isMadeUp(url), by.id);
    return done.ok ? {} : said(done);
  },
  limit: async ({ request, locals }) => {
    const by = allowed(locals, 'review');
    const form = await request.formData();
    const asked = {
      checklist: textIn(form, 'checklist'),
      step: textIn(form, 'step'),
      least: textIn(form, 'least'),
      most: textIn(form, 'most'),
    };
    const done = await setLimit(house(), asked, by.id);
    return done.ok ? {} : said(done);
  },
};
