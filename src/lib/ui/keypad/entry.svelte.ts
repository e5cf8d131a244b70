/** A figure as a display shows it, key by key: `0.0` and `0` are two different readings. */
export type Key =
  | '0'
  | '1'
  | '2'
  | '3'
  | '4'
  | '5'
  | '6'
  | '7'
  | '8'
  | '9'
  | 'point'
  | 'minus'
  | 'back'
  | 'OL'
  | 'unstable';

const MOST = 9;

/** What the display shows after one more key. */
export function press(text: string, key: Key): string {
  const word = text === 'OL' || text === 'unstable';
  switch (key) {
    case 'back':
      return word ? '' : text.slice(0, -1);
    case 'OL':
    case 'unstable':
      return key;
    case 'minus':
      if (word) return '-';
      return text.startsWith('-') ? text.slice(1) : `-${text}`;
    case 'point':
      if (word || text === '') return '0.';
      return text.includes('.') ? text : `${text}.`;
    default:
      if (word) return key;
      return text.replace(/\D/gu, '').length < MOST ? text + key : text;
  }
}

/** What a keyboard key means here, or undefined. */
export function keyOf(event: Pick<KeyboardEvent, 'key'>): Key | undefined {
  if (/^[0-9]$/u.test(event.key)) return event.key as Key;
  if (event.key === '.' || event.key === ',') return 'point';
  if (event.key === '-') return 'minus';
  if (event.key === 'Backspace' || event.key === 'Delete') return 'back';
  if (event.key === 'o' || event.key === 'O') return 'OL';
  if (event.key === 'u' || event.key === 'U') return 'unstable';
  return undefined;
}

/** Whether there is a whole figure or word to write down. */
export function isWhole(text: string): boolean {
  return text === 'OL' || text === 'unstable' || /^-?\d+(\.\d+)?$/u.test(text);
}
