// Degrees, or degrees and minutes: the choice of whoever stands at this tablet.
import { signal } from '@preact/signals';
import type { Notation } from '../format/angles';

const KEPT_AS = 'hubplumb-notation';

function kept(): Notation {
  try {
    return localStorage.getItem(KEPT_AS) === 'minutes' ? 'minutes' : 'degrees';
  } catch {
    return 'degrees'; // storage may be forbidden
  }
}

/** How angles of cars and visits are shown. */
export const notation = signal<Notation>(kept());

export function chooseNotation(chosen: Notation): void {
  notation.value = chosen;
  try {
    localStorage.setItem(KEPT_AS, chosen);
  } catch {
    // not kept then
  }
}
