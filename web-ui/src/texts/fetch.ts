// The words of a language are files of their own, fetched when they are wanted.
import type { Language } from '../state/choices';
import type { Texts } from './shape';

export const fetchWords: Record<Language, () => Promise<Texts>> = {
  en: async () => (await import('./en')).en,
  de: async () => (await import('./de')).de,
};
