/** Whether a worn thing covers the fingers, by its name in the languages that lists are written in. */
export function isGlove(item: string): boolean {
  return /glove|guante/iu.test(item);
}
