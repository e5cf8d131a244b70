/**
 * Which of the pages written at build time stands for an address: itself, or the nearest one above
 * it. The first page stands for itself only.
 * @param path the address asked for, without host and query
 * @param shells the addresses of the pages written at build time
 * @param base the path that the app is served below, without a slash at the end
 * @returns one of `shells`, or null when the server must answer
 */
export function shellFor(path: string, shells: readonly string[], base = ''): string | null {
  const plain = (address: string) => address.replace(/\/+$/, '');
  const asked = plain(path);
  const above = shells.filter((shell) => {
    const one = plain(shell);
    return asked === one || (one !== base && asked.startsWith(`${one}/`));
  });
  return above.sort((a, b) => b.length - a.length)[0] ?? null;
}
