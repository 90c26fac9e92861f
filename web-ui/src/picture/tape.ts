// The steer tape: a straight tape seen as the driver sees the road, left is left.
// `_deg` are steer angles (+ left), `_share` is the place along the tape, 0 left end to 1 right end.

/** The tape reaches this far to either side; typical turn plates do not turn further. */
export const TAPE_END_DEG = 30;

/** Where an angle stands on the tape; angles beyond its ends stand at the end. */
export function placeOnTape_share(steer_deg: number): number {
  const kept_deg = Math.min(TAPE_END_DEG, Math.max(-TAPE_END_DEG, steer_deg));
  return (TAPE_END_DEG - kept_deg) / (2 * TAPE_END_DEG);
}

/** Marks every ten degrees, from the left end to the right end. */
export const TAPE_MARKS_DEG: readonly number[] = [30, 20, 10, 0, -10, -20, -30];
