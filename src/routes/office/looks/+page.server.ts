import { may } from '#lib/server/accounts/roles.ts';
import { house } from '#lib/server/house.ts';
import { answerTo, askAbout, closeLook, noteOn } from '#lib/server/looks/look-acts.ts';
import { lookNo, looksFor, openByRule, type Look } from '#lib/server/looks/look-list.ts';
import { lastScreening, screenCrew } from '#lib/server/looks/screening.ts';
import { wordsAbout } from '#lib/server/looks/words-kept.ts';
import type { Answered } from '#lib/server/refusal.ts';
import { isMadeUp } from '#lib/server/web/crew.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals, url }) => {
  const { role } = allowed(locals, 'look');
  const { database, now } = house();
  const { rows } = database;
  const [demo, officer] = [isMadeUp(url), may(role, 'review')];
  const one = Number(url.searchParams.get('look') ?? '');
  const rule = url.searchParams.get('rule') ?? '';
  const closed = url.searchParams.get('closed') === 'yes';
  const asked = { demo, closed, officer, now: now(), ...(rule === '' ? {} : { rule }) };
  const looks: readonly (Look | null)[] =
    one > 0 ? [await lookNo(rows, one, { officer, now: now() })] : await looksFor(rows, asked);
  const shown = [];
  for (const look of looks) {
    // Another crew's look is not shown under this one's heading.
    if (look === null || look.demo !== demo) continue;
    const words = look.askedAt === null ? [] : await wordsAbout(rows, { look: look.no });
    shown.push({ ...look, words });
  }
  return {
    looks: shown,
    closed,
    single: one > 0,
    rules: officer ? [...(await openByRule(rows, demo))] : [],
    last: await lastScreening(rows, demo),
    mayReview: officer,
  };
};

type Saying = (
  ground: ReturnType<typeof house>,
  words: { readonly look: number; readonly text: string },
  by: string,
) => Promise<Answered<object>>;

const saying =
  (say: Saying): Actions[string] =>
  async ({ request, locals }) => {
    const by = allowed(locals, 'review');
    const form = await request.formData();
    const words = { look: Number(textIn(form, 'look')), text: textIn(form, 'text') };
    const done = await say(house(), words, by.id);
    return done.ok ? { said: words.look } : said(done);
  };

export const actions: Actions = {
  screen: async ({ locals, url }) => {
    allowed(locals, 'review');
    const { database, photos, now } = house();
    return { screened: await screenCrew({ database, photos, now }, isMadeUp(url)) };
  },
  ask: saying(askAbout),
  answer: saying(answerTo),
  note: saying(noteOn),
  close: async ({ request, locals }) => {
    const by = allowed(locals, 'review');
    const form = await request.formData();
    const words = { look: Number(textIn(form, 'look')), text: textIn(form, 'text') };
    const done = await closeLook(house(), { ...words, as: textIn(form, 'as') }, by.id);
    return done.ok ? {} : said(done);
  },
};
