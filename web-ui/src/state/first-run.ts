// Which step of the first run is at hand. Pure: functions of the state and of what was chosen here.
import type { AxisName, BoardView, MountView, StateView } from '../contract/types';

/** The steps, in order. */
export type FirstStep = 'find' | 'tap' | 'face' | 'calibrate' | 'done';
export const FIRST_STEPS: readonly FirstStep[] = ['find', 'tap', 'face', 'calibrate', 'done'];

const AXES: readonly AxisName[] = ['+z', '-z', '+x', '-x', '+y', '-y'];
const MOUNTS: readonly MountView[] = ['front_left', 'front_right', 'rear_left', 'rear_right', 'body'];

export const isWheel = (mount: MountView): boolean => mount !== 'body';
const line = (axis: AxisName): string => axis.slice(1);

/** Boards on a mount, front to rear. */
export function mounted(state: StateView): readonly BoardView[] {
  return MOUNTS.flatMap((mount) => state.boards.filter((board) => board.mount === mount));
}

/** Boards that may be placed and give readings. */
export const placeable = (state: StateView): readonly BoardView[] => state.boards.filter((board) => board.state === 'live' && !board.configured);

/** What was chosen at this screen and the daemon does not keep. */
export interface FirstChoices {
  /** The boards are still being looked for, though some are placed. */
  finding: boolean;
  /** The board whose arrow is asked for again. */
  again: string | null;
  /** Calibrating is left for later. */
  calibrated: boolean;
}

/** The board whose outboard arrow is to be said next. */
export function faceless(state: StateView, again: string | null): BoardView | null {
  const boards = mounted(state).filter((board) => !board.configured && board.mount != null && isWheel(board.mount));
  return boards.find((board) => board.id === again) ?? boards.find((board) => board.sits == null && board.state === 'live') ?? null;
}

/** Does the first run open by itself? When nobody has said where the boards are or how one sits, and nobody else says it. */
export function opensByItself(state: StateView): boolean {
  if (state.setup.configured || state.setup.practice === 'inside') return false;
  return mounted(state).length === 0 || faceless(state, null) !== null;
}

export const uncalibrated = (state: StateView): readonly BoardView[] =>
  mounted(state).filter((board) => board.calibration.source == null && board.state === 'live');

export function firstStep(state: StateView, choices: FirstChoices): FirstStep {
  if (state.setup.naming.mount != null) return 'tap';
  if (choices.finding || mounted(state).length === 0) return 'find';
  if (faceless(state, choices.again) !== null) return 'face';
  if (!choices.calibrated && uncalibrated(state).length > 0) return 'calibrate';
  return 'done';
}

/** The arrows that may point outboard: none that points up or down now. */
export function outboardChoices(up: AxisName | null): readonly AxisName[] {
  return AXES.filter((axis) => up === null || line(axis) !== line(up));
}

/** The one proposed: as the last time, else as another board on a wheel was said to sit, else the face with the chip. */
export function proposed(state: StateView, board: BoardView): AxisName | null {
  const choices = outboardChoices(board.up_now ?? null);
  const others = mounted(state).flatMap((other) => (other.sits == null || other.id === board.id ? [] : [other.sits.outboard]));
  const wished = [...(board.sits == null ? [] : [board.sits.outboard]), ...others];
  return wished.find((axis) => choices.includes(axis)) ?? choices[0] ?? null;
}

/** The arrows that may point up once the outboard one is chosen. */
export const upChoices = (outboard: AxisName): readonly AxisName[] => AXES.filter((axis) => line(axis) !== line(outboard));
