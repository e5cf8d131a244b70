/** The words of a sentence, in any language: letters and digits, with hyphens and apostrophes inside. */
export function wordsOf(text: string): string[] {
  return text.match(/[\p{L}\p{N}][\p{L}\p{N}'’-]*/gu) ?? [];
}
