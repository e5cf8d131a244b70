/**
 * Which of the pages written at build time stands for an address: itself, or the nearest one above
 * it. The first page stands for itself only.
 * @param path the address asked for, without host and query
 * @param shells the addresses of the pages written at build time
 * @returns one of `shells`, or null when the server must answer
 */
export function shellFor(path: string, shells: readonly string[]): string | null {
  const asked = path.length > 1 ? path.replace(/\/+$/, '') : path;
  const above = shells.filter((shell) => asked === shell || asked.startsWith(`${shell}/`));
  return above.sort((a, b) => b.length - a.length)[0] ?? null;
}
