// What the set-up tells a person goes to standard error, so that a command's own output stays clean.

/** @param {string} sentence */
export function say(sentence) {
  process.stderr.write(`${sentence}\n`);
}

/** @param {string} sentence @returns {never} */
export function giveUp(sentence) {
  say(sentence);
  process.exit(1);
}
