// The texts in the chosen language. Views read `texts.boards.title` while they draw: the language
// is a signal, so they draw anew when it changes. Nothing may keep a text beyond that.
import { signal } from '@preact/signals';
import type { Texts } from './shape';

/** None until the first language is there: nothing that reads words may run before (`showWhole` waits). */
const spoken = signal<Texts | null>(null);

/** Puts other words in force. Only the choice of the language does this. */
export function speak(words: Texts): void {
  spoken.value = words;
}

/** The language of the words in force, as HTTP and HTML name it. Not followed: who asks, asks for now. */
export const spokenCode = (): string => spoken.peek()?.code ?? 'en';

export const texts = new Proxy({} as Texts, { get: (_, area) => (spoken.value as Texts)[area as keyof Texts] });
