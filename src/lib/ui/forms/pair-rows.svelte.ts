/** The rows of one sweep: a known source, every pair, the known source again. */
import { SvelteMap } from 'svelte/reactivity';
import { isWhole } from '../keypad/entry.svelte.ts';

export type RowKind = 'known' | 'before' | 'pair' | 'after';

export interface Row {
  readonly id: string;
  readonly kind: RowKind;
}

export interface Figure {
  readonly text: string;
  readonly unit: string;
}

const EMPTY: Figure = { text: '', unit: 'V' };

export class PairRows {
  readonly rows: readonly Row[];
  #figures = new SvelteMap<string, Figure>();
  #active = $state('');

  /** @param known what the known source has, when it was said before; else it is asked first */
  constructor(
    pairs: readonly string[],
    checks: { before: boolean; after: boolean; known: string },
  ) {
    this.rows = [
      ...(checks.before ? [{ id: 'known', kind: 'known' as const }] : []),
      ...(checks.before ? [{ id: 'before', kind: 'before' as const }] : []),
      ...pairs.map((id) => ({ id, kind: 'pair' as const })),
      ...(checks.after ? [{ id: 'after', kind: 'after' as const }] : []),
    ];
    if (checks.known !== '') this.#figures.set('known', { text: checks.known, unit: 'V' });
    this.#active = this.#firstEmpty()?.id ?? '';
  }

  get active(): string {
    return this.#active;
  }

  set active(id: string) {
    this.#active = id;
  }

  figure(id: string): Figure {
    return this.#figures.get(id) ?? EMPTY;
  }

  write(id: string, figure: Figure): void {
    this.#figures.set(id, figure);
  }

  isFilled(id: string): boolean {
    return isWhole(this.figure(id).text);
  }

  /** The first row without a figure, from the one being written on. */
  get missing(): Row | undefined {
    return this.#firstEmpty();
  }

  advance(): void {
    if (!this.isFilled(this.#active)) return;
    const at = this.rows.findIndex(({ id }) => id === this.#active);
    const later = this.rows.slice(at + 1).find(({ id }) => !this.isFilled(id));
    this.#active = (later ?? this.#firstEmpty())?.id ?? '';
  }

  #firstEmpty(): Row | undefined {
    return this.rows.find(({ id }) => !this.isFilled(id));
  }
}
