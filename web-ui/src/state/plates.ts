// Turn-plate readings while they are being typed. Pure.
import { readAngle } from '../format/angles';
import { hasSign } from '../format/numbers';
import type { MountView, PlateReading, RestView, RestWheelView, SwingView } from '../contract/types';

/** What stands in one field: the text, and the side if one was chosen. */
export interface PlateDraft {
  typed: string;
  side: 'left' | 'right' | null;
}

/** What a draft comes to. */
export type PlateVerdict =
  | { kind: 'empty' }
  | { kind: 'not_a_number' }
  | { kind: 'side_missing'; size_deg: number }
  | { kind: 'reading'; plate_deg: number };

/** The side the gyro saw the wheel turned to; none at straight ahead or without a gyro. */
export function sideSeen(rest: RestView, wheel: RestWheelView): PlateDraft['side'] {
  if (rest.straight || wheel.steer_deg == null || Math.abs(wheel.steer_deg) < 2) return null;
  return wheel.steer_deg > 0 ? 'left' : 'right';
}

/**
 * A typed sign wins over the chosen side; a bare figure needs a side, for a
 * reading given the wrong sign would turn the result round.
 */
export function judge(draft: PlateDraft): PlateVerdict {
  if (draft.typed.trim() === '') return { kind: 'empty' };
  const value_deg = readAngle(draft.typed);
  if (value_deg === null) return { kind: 'not_a_number' };
  if (value_deg === 0 || hasSign(draft.typed)) return { kind: 'reading', plate_deg: value_deg };
  if (draft.side === null) return { kind: 'side_missing', size_deg: value_deg };
  return { kind: 'reading', plate_deg: draft.side === 'left' ? value_deg : -value_deg };
}

export const draftKey = (rest: number, mount: MountView): string => `${rest}-${mount}`;

/** Readings the daemon waits for: those of the stops. Straight ahead is the plates' zero. */
export function platesMissing(rests: readonly RestView[]): number {
  return rests
    .filter((rest) => !rest.straight)
    .reduce((sum, rest) => sum + rest.wheels.filter((wheel) => wheel.plate_deg == null).length, 0);
}

/** The wheels stand at a stop whose plates have not been read: now is the time. */
export function plateDue(swing: SwingView): boolean {
  if (swing.phase === 'await_plates') return true;
  const last = swing.rests.at(-1);
  return swing.phase === 'stop_taken' && swing.steer_source === 'plates' && last !== undefined && platesMissing([last]) > 0;
}

/** Rests that a field is shown for. The first is zero by rule; straight ahead at the end may be read, and is zero if not. */
export function restsToRead(swing: SwingView): RestView[] {
  return swing.rests.filter((rest) => rest.index > 0 && (!rest.straight || swing.phase === 'await_plates'));
}

/**
 * Every reading that stands in a field, straight ahead first: with the last
 * reading of a stop the daemon closes the swing.
 */
export function readingsOf(swing: SwingView, draftOf: (rest: RestView, wheel: RestWheelView) => PlateDraft): PlateReading[] {
  const readings = restsToRead(swing).flatMap((rest) =>
    rest.wheels.flatMap((wheel) => {
      const verdict = judge(draftOf(rest, wheel));
      if (verdict.kind !== 'reading' || verdict.plate_deg === wheel.plate_deg) return [];
      return [{ straight: rest.straight, reading: { rest: rest.index, mount: wheel.mount, plate_deg: verdict.plate_deg } }];
    }),
  );
  return readings.sort((a, b) => Number(b.straight) - Number(a.straight)).map(({ reading }) => reading);
}
