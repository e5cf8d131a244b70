/** What a page of the office needs before it does anything: somebody who may. */
import { error, fail, redirect } from '@sveltejs/kit';
import type { ActionFailure } from '@sveltejs/kit';
import { resolve } from '$app/paths';
import { may } from '../accounts/roles.ts';
import type { Right } from '../accounts/roles.ts';
import type { OfficePerson } from '../accounts/sessions.ts';
import type { Answered } from '../refusal.ts';

/** @throws a redirect to the sign-in, or an error 403 */
export function allowed(locals: App.Locals, right: Right): OfficePerson {
  if (locals.office === null) redirect(303, resolve('/office/sign-in'));
  if (!may(locals.office.role, right))
    error(403, { message: 'Your account may not do this. Ask an officer.', code: 'not-allowed' });
  return locals.office;
}

/** Forms send texts; a file where a text belongs is no text. */
export function textIn(form: FormData, name: string): string {
  const value = form.get(name);
  return typeof value === 'string' ? value : '';
}

export type Said = ActionFailure<{ readonly says: string }>;

/** The sentence of a refusal, for the form that it belongs to. */
export function said({ status, says }: Extract<Answered<unknown>, { ok: false }>): Said {
  return fail(status, { says });
}

/** A request of a script in our own page; a page elsewhere cannot make one. */
export function fromOwnPage(request: Request, url: URL): boolean {
  const site = request.headers.get('sec-fetch-site');
  const origin = request.headers.get('origin');
  return origin === url.origin && (site === null || site === 'same-origin');
}
