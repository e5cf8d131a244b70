/** Why a meter does not fit a place, in the reader's language. */
import type { Instrument } from '#lib/core/job/events.ts';
import * as m from '../paraglide/messages.js';

/** `code` is one of those that the check of the card gives. */
export function fitSays(
  code: string,
  card: Pick<Instrument, 'id' | 'category' | 'volts' | 'due'>,
  place: { readonly category: string; readonly volts: string },
): string {
  const meter = card.id;
  switch (code) {
    case 'category-too-low':
      return m.fit_category_low({ meter, has: card.category, needs: place.category });
    case 'volts-too-low':
      return m.fit_volts_low({ meter, rated: card.volts, volts: place.volts });
    case 'calibration-overdue':
      return m.fit_overdue({ meter, due: card.due });
    case 'bad-range':
      return m.fit_range({ meter });
    default:
      return m.fit_card({ meter });
  }
}
