// The import table: which room may know which, and why not otherwise. The lint rule and the tidy
// tests both ask `whyNot`; DEVELOPERS.md explains the rooms.
import { posix } from 'node:path';

/**
 * @typedef {object} Room
 * @property {string} path     the folder, from the root of the repository
 * @property {string[]} knows  folders or files (without ending) that it may import
 * @property {string[]} [types] the same, for `import type` only
 * @property {string[]} [never] exceptions to `knows` and `types`
 * @property {string[]} [packages] the registry packages it may import; absent: any
 * @property {string} why      said when an import is refused
 */

const core = 'src/lib/core';
const pure = 'core is pure: what it needs of the world comes in as an argument';
// Functions of bytes and text that read no clock and hold no state.
const purePackages = ['zod', 'yaml', 'date-fns', '@noble/hashes', '@noble/curves'];

/** The narrowest folder that holds a file is its room. @type {Room[]} */
export const rooms = [
  { path: core, knows: [], packages: purePackages, why: pure },
  {
    path: `${core}/checklist`,
    // How quantities and outcomes are read, and the canonical form that an identity is taken of; none
    // of these knows more than the model of a checklist.
    knows: ['measure/quantity', 'measure/suspects-review', 'record/canonical', 'record/bytes'].map(
      (file) => `${core}/${file}`,
    ),
    packages: purePackages,
    why: 'a checklist is data, known by the others and knowing none of them but how values are read and written',
  },
  {
    path: `${core}/measure`,
    knows: [`${core}/checklist`],
    packages: purePackages,
    why: 'arithmetic knows the checklist and nothing of a job',
  },
  {
    path: `${core}/job`,
    knows: [`${core}/checklist`, `${core}/measure`],
    packages: purePackages,
    why: 'the implementation must not lean on the properties that judge it, nor on how it is kept',
  },
  {
    path: `${core}/safety`,
    knows: [`${core}/checklist`, `${core}/measure`],
    types: [`${core}/job/events`],
    packages: purePackages,
    why: 'the properties must stay independent of the engine that they judge',
  },
  {
    path: `${core}/prove`,
    knows: ['checklist', 'measure', 'job', 'safety'].map((room) => `${core}/${room}`),
    packages: purePackages,
    why: 'the explorer runs the engine against the properties and needs nothing else',
  },
  {
    path: `${core}/record`,
    knows: [],
    packages: purePackages,
    why: 'a record keeps bytes and must not depend on what they mean',
  },
  {
    path: `${core}/bag`,
    knows: ['checklist', 'measure', 'record', 'safety', 'job'].map((room) => `${core}/${room}`),
    never: [`${core}/job/decide`],
    packages: [...purePackages, 'client-zip', '@zip.js/zip.js'],
    why: 'a bag is judged by the record and the properties, never by the engine that made it',
  },
  {
    path: `${core}/screen`,
    knows: ['checklist', 'measure', 'record', 'safety', 'job'].map((room) => `${core}/${room}`),
    never: [`${core}/job/decide`],
    packages: purePackages,
    why: 'second looks read finished records and decide nothing',
  },
  {
    path: 'src/lib/crypto',
    knows: [core],
    why: 'the platform behind the primitives of the record, and nothing that decides',
  },
  {
    path: 'src/lib/paper',
    knows: [core],
    why: 'the drawing of a front page on paper knows what the page says, and nothing of where it is kept',
  },
  {
    path: 'src/lib/device',
    knows: [core, 'src/lib/crypto', 'src/lib/paper'],
    why: "the technician's side knows the core; it must work with no server at all",
  },
  {
    path: 'src/lib/server',
    knows: [core, 'src/lib/crypto'],
    why: 'the collecting server knows the core, never the device or the screen',
  },
  {
    path: 'src/lib/ui',
    knows: [],
    types: [core],
    why: 'components hold no rules: they know the types of the core, props come in, callbacks go out',
  },
  {
    path: 'src/cli',
    knows: [core, 'src/lib/crypto', 'src/lib/paper', 'src/lib/server', 'src/setup'],
    why: 'the command line runs the same core, without a browser',
  },
  {
    path: 'src/routes',
    knows: ['src/lib', 'src/app.css'],
    why: 'pages and endpoints tie the rooms of src/lib together',
  },
  {
    path: 'src/service-worker',
    knows: ['src/lib/device/sync'],
    why: 'the worker that keeps the app offline sends what waits, and must not pull the app into itself',
  },
];

/**
 * @param {string} file from the root of the repository, with forward slashes
 * @returns {Room | undefined} the narrowest room that holds it
 */
export function roomOf(file) {
  return rooms
    .filter((room) => within(file, room.path))
    .sort((a, b) => b.path.length - a.path.length)[0];
}

/**
 * Why an import may not stand; null when it may, and for a file outside every room.
 * @param {string} file the importing file, from the root, with forward slashes
 * @param {string} specifier as written
 * @param {boolean} typeOnly `import type`, or each name marked `type`
 * @returns {string | null} one sentence
 */
export function whyNot(file, specifier, typeOnly) {
  const room = roomOf(file);
  if (room === undefined) return null;
  const target = resolve(file, specifier);
  if (target === null) return refusePackage(file, room, specifier);
  if (within(file, core) && !/\.(ts|json)$/.test(target))
    return `${file}: core writes its imports with their .ts ending ("${specifier}"), so that Node runs it as it stands`;
  if (within(file, core) && specifier.startsWith('#'))
    return `${file}: core imports by relative path ("${specifier}"), so that it can be lifted out whole`;
  const bare = target.replace(/\.(svelte\.)?(ts|js|mjs|svelte|json)$/, '');
  // Files directly in core (assertions, brands) belong to all of its rooms.
  const shared = within(file, core) && posix.dirname(target) === core;
  const own = roomOf(target) === room;
  /** @param {string[] | undefined} list */
  const listed = (list) => (list ?? []).some((path) => within(bare, path));
  const allowed = own || shared || listed(room.knows) || (typeOnly && listed(room.types));
  if (allowed && !listed(room.never)) return null;
  const kind = !typeOnly && listed(room.types) ? 'only the types of ' : '';
  return `${file}: ${name(room.path)} may ${kind ? 'import ' + kind : 'not import '}${name(bare)}; ${room.why}`;
}

/** @param {string} file @param {Room} room @param {string} specifier */
function refusePackage(file, room, specifier) {
  if (room.packages === undefined) return null;
  const wanted = specifier.startsWith('@')
    ? specifier.split('/').slice(0, 2).join('/')
    : specifier.split('/')[0];
  if (wanted !== undefined && room.packages.includes(wanted)) return null;
  return `${file}: ${name(room.path)} may not import ${specifier}; ${pure}`;
}

/**
 * @param {string} file the importing file
 * @param {string} specifier as written
 * @returns {string | null} the file meant, from the root; null for a package
 */
export function resolve(file, specifier) {
  if (specifier.startsWith('#lib/')) return `src/lib/${specifier.slice('#lib/'.length)}`;
  if (specifier.startsWith('$lib/')) return `src/lib/${specifier.slice('$lib/'.length)}`;
  if (specifier.startsWith('.'))
    return posix.normalize(posix.join(posix.dirname(file), specifier)).replace(/\?.*$/, '');
  return null;
}

/** @param {string} path @param {string} folder */
function within(path, folder) {
  return path === folder || path.startsWith(`${folder}/`);
}

/** @param {string} path */
function name(path) {
  return path
    .replace(/^src\/lib\/core\/?/, 'core/')
    .replace(/^src\/(lib\/)?/, '')
    .replace(/\/$/, '');
}
