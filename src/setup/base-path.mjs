// The path below which a proxy serves the app: part of every address in the build.
import { giveUp } from './say.mjs';

const form = /^(\/[A-Za-z0-9_-]+)+$/;

/** @returns {string} such as `/records`, or nothing: without a slash at the end */
export function basePath(env = process.env) {
  const path = (env.STILLWIRE_PATH ?? '').replace(/\/+$/, '');
  if (path === '' || form.test(path)) return path;
  return giveUp(
    `STILLWIRE_PATH is "${env.STILLWIRE_PATH}", which is no path. Use one such as /records, or leave it out.`,
  );
}
