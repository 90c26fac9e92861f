// The page's clock.

/** Younger than this a value counts as being of this moment. */
export const FRESH_S = 1.5;

const began_ms = Date.now() - performance.now();

/**
 * Milliseconds that also pass while the tablet sleeps: `performance.now` stands still then on
 * some systems, the clock on the wall does not. It never runs slower than the first.
 */
export const now_ms = (): number => Math.max(performance.now(), Date.now() - began_ms);
