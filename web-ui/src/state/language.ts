// The language of the page: the choice of whoever stands at this tablet, made without loading the page anew.
import { batch, computed, signal } from '@preact/signals';
import type { Locale } from '../format/numbers';
import { speak } from '../texts';
import { first } from '../texts/en/first';
import type { FirstTexts, Texts } from '../texts/shape';

export type Language = 'en' | 'de';

export const LANGUAGES: readonly Language[] = ['en', 'de'];

/** What a language calls itself. Never translated. */
export const OWN_NAME: Record<Language, string> = { en: 'English', de: 'Deutsch' };

/** How a language writes its numbers and dates. */
const LOCALE: Record<Language, Locale> = { en: 'en-GB', de: 'de-DE' };

const KEPT_AS = 'hubplumb-language';

const german = async (): Promise<Texts> => (await import('../texts/de')).de;

interface Words {
  first: () => Promise<FirstTexts>;
  all: () => Promise<Texts>;
}

/** English for the first figures comes with the page; all other words are files of their own, fetched when they are wanted. */
const WORDS: Record<Language, Words> = {
  en: { first: () => Promise.resolve(first), all: async () => (await import('../texts/en')).en },
  de: { first: german, all: german },
};

/** The first language of a list like `navigator.languages` that the page has; English if there is none. */
export function firstKnown(wished: readonly string[]): Language {
  const codes = wished.map((tag) => tag.toLowerCase().split('-')[0]);
  return codes.flatMap((code) => LANGUAGES.filter((one) => one === code))[0] ?? 'en';
}

function kept(): Language | null {
  try {
    const code = localStorage.getItem(KEPT_AS);
    return LANGUAGES.find((one) => one === code) ?? null;
  } catch {
    return null; // storage may be forbidden
  }
}

/** The language that is shown. It changes only once its words are there. */
export const language = signal<Language>('en');

/** How numbers and dates are written; also the language in which sentences are spoken. */
export const locale = computed(() => LOCALE[language.value]);

/** The choice made last; one that was slower to load gives way to it. */
let wanted: Language = 'en';

/** Shows a language; false when its words could not be fetched, and then everything stays as it was. */
async function show(chosen: Language, which: keyof Words): Promise<boolean> {
  wanted = chosen;
  const words = await WORDS[chosen][which]().catch(() => null);
  if (words === null || wanted !== chosen) return false;
  batch(() => {
    speak(words);
    language.value = chosen;
  });
  document.documentElement.lang = chosen;
  return true;
}

/** The words of the first figures; to be waited for before anything is drawn. */
export async function startLanguage(): Promise<void> {
  await show(kept() ?? firstKnown(navigator.languages), 'first');
}

/** All words of the language that is shown; false when they could not be fetched. To be waited for before the whole page is drawn. */
export const allWords = (): Promise<boolean> => show(language.peek(), 'all');

export async function chooseLanguage(chosen: Language): Promise<void> {
  if (!(await show(chosen, 'all'))) return;
  try {
    localStorage.setItem(KEPT_AS, chosen);
  } catch {
    // not kept then
  }
}
