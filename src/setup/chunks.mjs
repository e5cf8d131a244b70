// Which files the app is fetched in. Left alone, the builder makes a file of every few lines that two pages
// share, some four hundred of them, and a slow network waits for each: so what the list of jobs is drawn with is
// one file, the rest of the front page and the engine are two more, and the words of all other pages a fourth.
const routes = '/src/routes';
/** By file, what it holds with all that this imports at once; what stands in a file before is not in it again. */
const FILES = {
  first: [
    `${routes}/+layout.svelte`,
    `${routes}/+error.svelte`,
    `${routes}/(shell)/+layout.svelte`,
    `${routes}/(shell)/jobs/+page.svelte`,
    '/@sveltejs/kit/src/runtime/client/entry.js',
  ],
  front: [`${routes}/(shell)/+page.svelte`],
  engine: ['/src/lib/device/device.ts', `${routes}/(shell)/program.ts`],
  words: [],
};
const MESSAGE = /\/paraglide\/messages\/([a-z0-9_]+)\.js$/;

/** @returns {import('vite').Plugin} */
export function chunksPlugin() {
  /** @type {Map<string, string> | undefined} */
  let files;
  return {
    name: 'chunks',
    apply: 'build',
    outputOptions(options) {
      if (this.environment.name !== 'client') return undefined;
      return {
        ...options,
        codeSplitting: {
          // What a module rests on goes with it, unless a group before has taken it.
          groups: Object.keys(FILES).map((file, at, { length }) => ({
            name: file,
            priority: length - at,
            test: (id) => files?.get(id) === file,
          })),
        },
      };
    },
    buildStart: () => void (files = undefined),
    buildEnd() {
      files ??= filesOf(this);
    },
  };
}

/**
 * The file of each module that does not go where the builder puts it.
 * @param {import('vite').Rolldown.PluginContext} context
 */
function filesOf(context) {
  const all = [...context.getModuleIds()];
  const named = (names) =>
    all.filter((id) => names.some((name) => id.split('?')[0].endsWith(name)));
  const files = new Map();
  for (const [file, roots] of Object.entries(FILES))
    for (const id of reached(context, named(roots))) if (!files.has(id)) files.set(id, file);
  for (const id of all) if (MESSAGE.test(id) && !files.has(id)) files.set(id, 'words');
  return files;
}

/** What these modules import at once, and of the messages only those that they name. */
function reached(context, roots) {
  const found = new Set();
  const said = new Set();
  const open = [...roots];
  let catalogue;
  while (open.length > 0) {
    const id = open.pop();
    if (found.has(id)) continue;
    if (id.endsWith('/paraglide/messages.js') || id.endsWith('/messages/_index.js')) {
      catalogue = id;
      continue;
    }
    found.add(id);
    const info = context.getModuleInfo(id);
    for (const [, name] of (info?.code ?? '').matchAll(/\bm\.([a-z0-9_]+)/g)) said.add(name);
    open.push(...(info?.importedIds ?? []));
  }
  if (catalogue === undefined) return found;
  for (const id of context.getModuleIds()) {
    const [, name] = MESSAGE.exec(id) ?? [];
    if (name !== undefined && said.has(name)) found.add(id);
  }
  return found;
}
