// The first figures come first: what stands below them, and what is not on the screen yet, waits until they are painted.
import { effect, signal } from '@preact/signals';
import { daemon, letOn } from './index';

/** The first figures were painted. */
export const settled = signal(false);

/** Runs it once the first figures were painted; at once if they are, or if the daemon says nothing and there will be none for now. */
export function afterFirst(run: () => void): void {
  if (daemon.peek() === null) return run();
  const stop = effect(() => {
    if (!settled.value) return;
    queueMicrotask(() => {
      stop();
      run();
    });
  });
}

/** Called once. */
export function settleAfterFirst(): void {
  effect(() => {
    if (daemon.value === null || settled.peek()) return;
    // The frame after the one that drew them. A page out of sight draws none: there a time does.
    const settle = (): void => {
      if (settled.peek()) return;
      letOn();
      settled.value = true;
    };
    requestAnimationFrame(() => requestAnimationFrame(settle));
    setTimeout(settle, 1000);
  });
}
