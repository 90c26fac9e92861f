// The texts in the chosen language. Views read `texts.boards.title` while they draw: the language
// is a signal, so they draw anew when it changes. Nothing may keep a text beyond that.
import { signal } from '@preact/signals';
import { en } from './en';
import type { Texts } from './shape';

const spoken = signal<Texts>(en);

/** Puts other words in force. Only the choice of the language does this. */
export function speak(words: Texts): void {
  spoken.value = words;
}

/** The language of the words in force, as HTTP and HTML name it. Not followed: who asks, asks for now. */
export const spokenCode = (): string => spoken.peek().code;

const area = (name: string): PropertyDescriptor => ({ enumerable: true, get: () => spoken.value[name as keyof Texts] });

export const texts = Object.defineProperties({}, Object.fromEntries(Object.keys(en).map((name) => [name, area(name)]))) as Texts;
