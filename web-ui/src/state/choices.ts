// What this tablet remembers, and what the page begins with until somebody chooses. Nothing here is followed:
// the first script reads it before anything that follows is there.
import type { Notation } from '../format/angles';
import type { Locale } from '../format/numbers';

/** Which of these was chosen last on this tablet; null when none was, or when it keeps nothing. */
export function remembered<T extends string>(as: string, choices: readonly T[]): T | null {
  try {
    const told = localStorage.getItem(as);
    return choices.find((one) => one === told) ?? null;
  } catch {
    return null; // storage may be forbidden
  }
}

export function remember(as: string, chosen: string): void {
  try {
    localStorage.setItem(as, chosen);
  } catch {
    // not kept then
  }
}

export type Language = 'en' | 'de';
export const LANGUAGES: readonly Language[] = ['en', 'de'];
export const LANGUAGE_AS = 'hubplumb-language';
/** How a language writes its numbers and dates. */
export const LOCALE: Record<Language, Locale> = { en: 'en-GB', de: 'de-DE' };

/** The first language of a list like `navigator.languages` that the page has; English if there is none. */
export function firstKnown(wished: readonly string[]): Language {
  const codes = wished.map((tag) => tag.toLowerCase().split('-')[0]);
  return codes.flatMap((code) => LANGUAGES.filter((one) => one === code))[0] ?? 'en';
}

export const firstLanguage = (): Language => remembered(LANGUAGE_AS, LANGUAGES) ?? firstKnown(navigator.languages);

const NOTATIONS: readonly Notation[] = ['degrees', 'minutes'];
export const NOTATION_AS = 'hubplumb-notation';
export const firstNotation = (): Notation => remembered(NOTATION_AS, NOTATIONS) ?? 'degrees';

export type Theme = 'auto' | 'daylight' | 'dark';
export const THEMES: readonly Theme[] = ['auto', 'daylight', 'dark'];
export const THEME_AS = 'hubplumb-theme';
export const firstTheme = (): Theme => remembered(THEME_AS, THEMES) ?? 'auto';
