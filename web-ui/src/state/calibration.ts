// Which board is being calibrated, and how it is to lie next. Pure: functions of the state alone.
import type {
  AxisName,
  BoardView,
  CalibrationPhase,
  CalibrationProcedureView,
  EdgeView,
  StateView,
} from '../contract/types';
import type { Deed } from './steps';

export interface OnBench {
  board: BoardView;
  procedure: CalibrationProcedureView;
}

/** The board being calibrated; the first, should somebody have started two. */
export function onBench(state: StateView): OnBench | null {
  for (const board of state.boards) {
    const { procedure } = board.calibration;
    if (procedure != null) return { board, procedure };
  }
  return null;
}

const DEEDS: Record<CalibrationPhase, Deed> = {
  lay: 'move',
  hold: 'hold',
  taken: 'move',
  solved: 'done',
  ended: 'refused',
};

export const calibrationDeed = (phase: CalibrationPhase): Deed => DEEDS[phase];

export type Arrow = 'X' | 'Y' | 'Z';

/** How the board is to lie: one arrow upright, two slanting, or any other slant. */
export type Way =
  | { kind: 'upright'; arrow: Arrow; up: boolean }
  | { kind: 'slant'; first: Arrow; second: Arrow }
  | { kind: 'other' };

const arrowOf = (axis: AxisName): Arrow => axis.slice(1).toUpperCase() as Arrow;

export const upright = (axis: AxisName): Way => ({ kind: 'upright', arrow: arrowOf(axis), up: axis.startsWith('+') });

export function slant(edge: EdgeView): Way {
  const [first, second] = edge.toUpperCase() as unknown as [Arrow, Arrow];
  return { kind: 'slant', first, second };
}

/** The way to lay the board next; a reversal stands it on the axis it is turned about. */
export function nextWay(procedure: CalibrationProcedureView): Way {
  if (procedure.about != null) return upright(procedure.about);
  const [face] = procedure.missing_faces;
  if (face !== undefined) return upright(face);
  const [edge] = procedure.missing_edges;
  return edge === undefined ? { kind: 'other' } : slant(edge);
}
