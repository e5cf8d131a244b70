/**
 * What a step says when its file leaves `say` out: plain words made from what it does. A file that says
 * it itself says it better; the review asks for it.
 */
type Block = Readonly<Record<string, unknown>>;

const isBlock = (value: unknown): value is Block =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const PLAIN: Readonly<Record<string, (step: Block) => string>> = {
  confirm: () => 'Look, and confirm what stands below.',
  tell: () => 'Tell everybody here what stays off, and until when.',
  wear: () => 'Put on what has to be worn, and take off what must not be.',
  photo: () => 'Take a photo.',
  find: () => 'Find it by watching the load go out twice.',
  case: () => 'Test the case to a proven ground before you touch it.',
  reading: ({ quantity }) => `Read the ${typeof quantity === 'string' ? quantity : 'value'}.`,
  contacts: () => 'Read the contacts at rest and pressed.',
  choose: () => 'Choose what you found.',
  isolate: () => 'Cut it.',
  lock: () => 'Put your own lock and tag on it.',
  release: () => 'Let the stored energy go, and measure what is left.',
  prove: () => 'Prove it dead.',
  open: () => 'Open it.',
  close: () => 'Close it.',
  disconnect: () => 'Take off each connector, and record it.',
  reseat: () => 'Put back each connector, and tug it.',
  window: () => 'Measure live, for the shortest time.',
  clear: () => 'Call the roll: everybody says clear.',
  unlock: () => 'Take off your own lock.',
  restore: () => 'Bring it back.',
  sign: () => 'Sign.',
};

/** What was read, with words for every step that has none; the same object when nothing is missing. */
export function withPlainWords(json: unknown): unknown {
  if (!isBlock(json) || !Array.isArray(json.steps)) return json;
  const steps: readonly unknown[] = json.steps;
  if (!steps.some((step) => isBlock(step) && step.say === undefined)) return json;
  return {
    ...json,
    steps: steps.map((step) => {
      if (!isBlock(step) || step.say !== undefined || typeof step.do !== 'string') return step;
      const say = Object.hasOwn(PLAIN, step.do) ? PLAIN[step.do]?.(step) : undefined;
      return say === undefined ? step : { ...step, say };
    }),
  };
}

/** Indices of steps that leave their words to the program. */
export function stepsWithoutWords(json: unknown): number[] {
  if (!isBlock(json) || !Array.isArray(json.steps)) return [];
  return json.steps.flatMap((step: unknown, at) =>
    isBlock(step) && step.say === undefined ? [at] : [],
  );
}
