/** The log cannot go on without somebody looking: one plain sentence, or more. */
export class LogTrouble extends Error {
  override readonly name = 'LogTrouble';
}
