/** The known word that a written one was most likely meant to be. */

/** Letters that differ, are missing, are too many, or changed places (Damerau and Levenshtein). */
function slips(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, at) => at);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let least = Math.min((row[j - 1] ?? 0) + 1, (last[j] ?? 0) + 1, (last[j - 1] ?? 0) + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        least = Math.min(least, (before[j - 2] ?? 0) + 1);
      }
      row.push(least);
    }
    before = last;
    last = row;
  }
  return last[b.length] ?? 0;
}

/** Null when none is near: more than two letters in five differ, and neither begins with the other. */
export function closest(written: string, known: Iterable<string>): string | null {
  if (written.length > 80) return null;
  let best: string | null = null;
  let least = Math.min(Math.max(1, Math.floor(written.length * 0.4)), written.length - 1) + 1;
  for (const word of known) {
    const distance = slips(written.toLowerCase(), word.toLowerCase());
    if (distance < least) {
      least = distance;
      best = word;
    }
  }
  return best ?? [...known].find((word) => begins(word, written) || begins(written, word)) ?? null;
}

const begins = (long: string, start: string) => start.length > 2 && long.startsWith(start);

/** `; did you mean title?`, or what there is when the list is short, or nothing. */
export function hint(written: string, known: Iterable<string>): string {
  const words = [...known];
  const near = closest(written, words);
  if (near !== null) return `; did you mean ${near}?`;
  if (words.length === 0) return '; there is none yet.';
  if (words.length <= 12)
    return `; there ${words.length === 1 ? 'is' : 'are'} ${words.join(', ')}.`;
  return '.';
}

/** A value of a file as text; `String` would ask an object that was read for its own toString. */
export function plainText(value: unknown): string {
  return typeof value === 'string' ? value : (JSON.stringify(value) ?? 'nothing');
}
