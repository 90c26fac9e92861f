// A choice that this tablet remembers.
import { signal, type Signal } from '@preact/signals';
import { remember, remembered } from './choices';

export interface Choice<T extends string> {
  readonly at: Signal<T>;
  choose(chosen: T): void;
}

/** One of a few; `first` until somebody chose. */
export function keptChoice<T extends string>(as: string, choices: readonly T[], first: T): Choice<T> {
  const at = signal<T>(remembered(as, choices) ?? first);
  return {
    at,
    choose(chosen) {
      at.value = chosen;
      remember(as, chosen);
    },
  };
}

export const SWITCH = ['on', 'off'] as const;
export type Switch = (typeof SWITCH)[number];
