import { texts } from '../texts';

/** Below this a steer angle reads as straight ahead. */
const STRAIGHT_DEG = 0.5;

/** The side of a steer angle in words. */
export function steerWord(steer_deg: number): string {
  if (Math.abs(steer_deg) < STRAIGHT_DEG) return texts.swing.straight;
  return steer_deg > 0 ? texts.swing.toLeft : texts.swing.toRight;
}
