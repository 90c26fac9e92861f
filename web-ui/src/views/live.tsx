// A leaf that follows one part of the state: the page around it is not drawn anew when that part changes.
import type { ReadonlySignal } from '@preact/signals';
import type { ComponentChild } from 'preact';

interface LiveProps<Part> {
  of: ReadonlySignal<Part | null>;
  /** Must be the same function every time, so that drawing the page around it does not draw this. */
  draw: (part: Part) => ComponentChild;
}

export function Live<Part>({ of, draw }: LiveProps<Part>) {
  const part = of.value;
  return part === null ? null : <>{draw(part)}</>;
}
