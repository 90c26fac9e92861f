// Degrees, or degrees and minutes: the choice of whoever stands at this tablet.
import { signal } from '@preact/signals';
import type { Notation } from '../format/angles';
import { firstNotation, NOTATION_AS, remember } from './choices';

/** How angles of cars and visits are shown. */
export const notation = signal<Notation>(firstNotation());

export function chooseNotation(chosen: Notation): void {
  notation.value = chosen;
  remember(NOTATION_AS, chosen);
}
