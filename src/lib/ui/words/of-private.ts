/** What a private value is, in the reader's words, by the name it was disclosed under. */
import * as m from '../paraglide/messages.js';

const names: Readonly<Record<string, () => string>> = {
  site: m.private_site,
  name: m.private_person,
  told: m.private_told,
  owner: m.private_owner,
};

/** `site`, `name.mara`; a name that is not known here stands as it is. */
export function privateName(name: string): string {
  const [family = name] = name.split('.');
  return names[family]?.() ?? name;
}
