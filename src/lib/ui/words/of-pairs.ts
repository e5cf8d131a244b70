import type { Row } from '../forms/pair-rows.svelte.ts';
import * as m from '../paraglide/messages.js';

/** What one row of a sweep measures. */
export function pairName(row: Row): string {
  switch (row.kind) {
    case 'known':
      return m.pairs_known();
    case 'before':
      return m.pairs_before();
    case 'after':
      return m.pairs_after();
    case 'pair':
      if (row.id === 'case-ground') return m.pair_case_ground();
      if (row.id === 'case-neighbour') return m.pair_case_neighbour();
      return row.id.replace('-', ' – ');
  }
}
