// A choice that this tablet remembers.
import { signal, type Signal } from '@preact/signals';

function kept<T extends string>(as: string, choices: readonly T[], first: T): T {
  try {
    const told = localStorage.getItem(as);
    return choices.find((one) => one === told) ?? first;
  } catch {
    return first; // storage may be forbidden
  }
}

export interface Choice<T extends string> {
  readonly at: Signal<T>;
  choose(chosen: T): void;
}

/** One of a few; `first` until somebody chose. */
export function keptChoice<T extends string>(as: string, choices: readonly T[], first: T): Choice<T> {
  const at = signal<T>(kept(as, choices, first));
  return {
    at,
    choose(chosen) {
      at.value = chosen;
      try {
        localStorage.setItem(as, chosen);
      } catch {
        // not kept then
      }
    },
  };
}

export const SWITCH = ['on', 'off'] as const;
export type Switch = (typeof SWITCH)[number];
