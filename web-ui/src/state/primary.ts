// The one action of the screen that a key runs. Views declare theirs; the first on the page counts.
import { computed, signal } from '@preact/signals';
import { SETTLE_MS } from './key-rules';

export interface Declared {
  /** Which action, of which step: another one begins to settle anew. */
  of: string;
  button: HTMLButtonElement;
  since_ms: number;
  settle_ms: number;
}

const declared = signal<readonly Declared[]>([]);

/** Something lies over the page that has to be answered first. */
export const covered = signal(false);

const before = (a: Declared, b: Declared): Declared => (a.button.compareDocumentPosition(b.button) & Node.DOCUMENT_POSITION_PRECEDING ? b : a);

/** The action at hand; null while none is declared or something lies over it. */
export const primary = computed<Declared | null>(() => (covered.value || declared.value.length === 0 ? null : declared.value.reduce(before)));

/** Declares an action for as long as it can be done; the answer takes it back. Never for what destroys something. */
export function declarePrimary(of: string, button: HTMLButtonElement, settle_ms = SETTLE_MS): () => void {
  declared.value = [...declared.peek(), { of, button, since_ms: performance.now(), settle_ms }];
  return () => {
    declared.value = declared.peek().filter((one) => one.button !== button);
  };
}

/** What has just been brought into view counts from then on. */
export function shownNow(action: Declared): void {
  declared.value = declared.peek().map((one) => (one === action ? { ...one, since_ms: performance.now() } : one));
}
