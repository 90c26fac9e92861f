// The first figures come first: what stands below them, and what is not on the screen yet, waits until they are painted.
import { effect, signal } from '@preact/signals';
import { daemon } from './index';

/** The first figures were painted. */
export const settled = signal(false);

/** Called once. */
export function settleAfterFirst(): void {
  effect(() => {
    if (daemon.value === null || settled.peek()) return;
    // The frame after the one that drew them. A page out of sight draws none: there a time does.
    const settle = (): void => {
      settled.value = true;
    };
    requestAnimationFrame(() => requestAnimationFrame(settle));
    setTimeout(settle, 1000);
  });
}
