// The language of the page: the choice of whoever stands at this tablet, made without loading the page anew.
import { batch, computed, signal } from '@preact/signals';
import { speak } from '../texts';
import { fetchWords } from '../texts/fetch';
import { firstLanguage, LANGUAGE_AS, LOCALE, remember, type Language } from './choices';

/** What a language calls itself. Never translated. */
export const OWN_NAME: Record<Language, string> = { en: 'English', de: 'Deutsch' };

/** The language that is shown. It changes only once its words are there. */
export const language = signal<Language>('en');

/** How numbers and dates are written; also the language in which sentences are spoken. */
export const locale = computed(() => LOCALE[language.value]);

/** The choice made last; one that was slower to load gives way to it. */
let wanted: Language = 'en';

/** Shows a language; false when its words could not be fetched, and then everything stays as it was. */
async function show(chosen: Language): Promise<boolean> {
  wanted = chosen;
  const words = await fetchWords[chosen]().catch(() => null);
  if (words === null || wanted !== chosen) return false;
  batch(() => {
    speak(words);
    language.value = chosen;
  });
  document.documentElement.lang = chosen;
  return true;
}

/** The language that the page begins with; to be waited for before anything is drawn that has words. */
export const startLanguage = (): Promise<boolean> => show(firstLanguage());

export async function chooseLanguage(chosen: Language): Promise<void> {
  if (await show(chosen)) remember(LANGUAGE_AS, chosen);
}
