// Whether a board is calibrated, by word and shape.
import type { BoardView, CalibrationState } from '../contract/types';
import { texts } from '../texts';
import { Shape, type ShapeName } from './shapes';

export const SHAPES: Record<CalibrationState, ShapeName> = {
  valid: 'calibrated',
  old: 'aged',
  absent: 'uncalibrated',
  unreadable: 'unreadable',
};

/** Word and shape, beside the state of the board. */
export function CalibrationMark({ board }: { board: BoardView }) {
  const { state } = board.calibration;
  return (
    <span class={`calibration-mark calibration-${state}`} data-testid={`calibration-${board.mount ?? board.id}`} data-state={state}>
      <Shape name={SHAPES[state]} />
      {texts.calibration.state[state]}
    </span>
  );
}
