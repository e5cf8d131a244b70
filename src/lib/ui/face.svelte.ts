/** How this device shows itself to the one who holds it: light, gloves and language. Kept on the device only. */
import { getLocale, locales, overwriteGetLocale, type Locale } from './paraglide/runtime.js';

export const LIGHTS = ['auto', 'day', 'night', 'sun', 'cupboard'] as const;
export type Light = (typeof LIGHTS)[number];
/** Large targets while the record says that gloves are on, always, or never. */
export const GLOVES = ['worn', 'always', 'never'] as const;
export type Gloves = (typeof GLOVES)[number];
export type Language = Locale;
export const LANGUAGES: readonly Language[] = locales;
/** Each language by its own name, so that who needs it can find it. */
export const LANGUAGE_NAMES: Readonly<Record<Language, string>> = { en: 'English', es: 'Español' };

const LIGHT_KEY = 'stillwire.light';
const GLOVES_KEY = 'stillwire.gloves';
const LANGUAGE_KEY = 'stillwire.language';

class Face {
  #light = $state<Light>('auto');
  #gloves = $state<Gloves>('worn');
  #language = $state<Language>('en');
  /** Whether the open job says that its holder wears gloves; set by the page of the job. */
  worn = $state(false);

  get light(): Light {
    return this.#light;
  }

  set light(light: Light) {
    this.#light = light;
    keep(LIGHT_KEY, light);
  }

  get gloves(): Gloves {
    return this.#gloves;
  }

  set gloves(gloves: Gloves) {
    this.#gloves = gloves;
    keep(GLOVES_KEY, gloves);
  }

  /** Whether targets are for a gloved finger now. */
  get gloved(): boolean {
    return this.#gloves === 'always' || (this.#gloves === 'worn' && this.worn);
  }

  get language(): Language {
    return this.#language;
  }

  set language(language: Language) {
    this.#language = language;
    keep(LANGUAGE_KEY, language);
  }

  /** Reads what was kept, else what the device prefers, and makes every message follow. */
  start(): void {
    const light = kept(LIGHT_KEY);
    this.#light = LIGHTS.find((one) => one === light) ?? 'auto';
    const gloves = kept(GLOVES_KEY);
    this.#gloves = GLOVES.find((one) => one === gloves) ?? 'worn';
    const wanted = [kept(LANGUAGE_KEY), ...navigator.languages].map((tag) => tag?.slice(0, 2));
    this.#language = wanted.flatMap((tag) => LANGUAGES.filter((one) => one === tag))[0] ?? 'en';
    // A message asks here each time it is drawn, so a change of language redraws the page as it stands.
    overwriteGetLocale(() => this.#language);
  }

  /** Writes the face onto the document; to be called in an effect. */
  wear(document: Document): void {
    document.documentElement.lang = getLocale();
    if (this.#light === 'auto') delete document.documentElement.dataset['light'];
    else document.documentElement.dataset['light'] = this.#light;
    document.documentElement.toggleAttribute('data-gloves', this.gloved);
  }
}

export const face = new Face();

function kept(key: string): string | undefined {
  try {
    return localStorage.getItem(key) ?? undefined;
  } catch {
    return undefined;
  }
}

function keep(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    // A browser that keeps nothing still shows the face until it is closed.
  }
}
