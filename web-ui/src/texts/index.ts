// The texts in the chosen language. Views read `texts.boards.title` while they draw: the language
// is a signal, so they draw anew when it changes. Nothing may keep a text beyond that.
import { signal } from '@preact/signals';
import { first } from './en/first';
import type { FirstTexts, Texts } from './shape';

/** Only the words of the first figures, until the whole page is there. */
const spoken = signal<FirstTexts | Texts>(first);

/** Puts other words in force. Only the choice of the language does this. */
export function speak(words: FirstTexts | Texts): void {
  spoken.value = words;
}

/** The language of the words in force, as HTTP and HTML name it. Not followed: who asks, asks for now. */
export const spokenCode = (): string => spoken.peek().code;

/** Nothing that reads other words than the first ones may run before all are there (`showWhole` waits for them). */
export const texts = new Proxy({} as Texts, { get: (_, area) => spoken.value[area as keyof FirstTexts] });
