// What the page makes of a guided check. Pure.
import { readAngle } from '../format/angles';
import { readDeg } from '../format/numbers';
import type { AxisName, AxleName, BarTurnName, CheckFigure, CheckKindView, CheckPhaseView, CheckResultView, CheckStart, CheckView, CheckWants, GripName, MountView, SteerByName, StateView } from '../contract/types';
import type { Deed } from './steps';

export const KINDS: readonly CheckKindView[] = ['play', 'centring', 'toe_out_on_turns', 'camber_on_hub', 'camber_on_bar', 'carried_toe', 'height_sweep'];

const DEEDS: Record<CheckPhaseView, Deed> = {
  idle: 'idle',
  await_still: 'rest',
  hold: 'hold',
  taken: 'move',
  moving: 'move',
  rock: 'move',
  await_figure: 'read',
  done: 'done',
  refused: 'refused',
};

export const checkDeed = (phase: CheckPhaseView): Deed => DEEDS[phase];

/** The check that takes the whole screen; a daemon without checks has none. */
export function checkUnderWay(state: StateView): CheckView | null {
  const check = state.check as CheckView | undefined;
  return check === undefined || ['idle', 'done', 'refused'].includes(check.phase) ? null : check;
}

/** Does a time run in this phase, so that its bar is shown? */
export const isTimed = (phase: CheckPhaseView): boolean => phase === 'hold' || phase === 'rock';

/** Checks of one wheel, and which wheels those are. */
export const ofOneWheel = (kind: CheckKindView): boolean => kind !== 'centring' && kind !== 'toe_out_on_turns' && kind !== 'carried_toe';

export const sourcesOf = (kind: CheckKindView): readonly SteerByName[] => (kind === 'centring' ? ['gyro', 'plates', 'steering_wheel'] : kind === 'toe_out_on_turns' ? ['gyro', 'plates'] : []);

export interface CheckChoice {
  kind: CheckKindView;
  mount: MountView;
  grip: GripName;
  turn: BarTurnName;
  by: SteerByName;
  /** At which axle a board is carried. */
  axle: AxleName;
  /** Which of its arrows points to the car's left. */
  to_left: AxisName;
  /** Is it carried to a straight-edge too? */
  edge: 'no' | 'yes';
  /** Ride height that a sweep is worked out at, as typed; without one the first height counts. */
  ride_height: string;
}

/** Is what is typed for the ride height no height? */
export const isWrongHeight = ({ kind, ride_height }: CheckChoice): boolean => kind === 'height_sweep' && ride_height.trim() !== '' && readDeg(ride_height) === null;

export function startOf({ kind, mount, grip, turn, by, axle, to_left, edge, ride_height }: CheckChoice): CheckStart {
  switch (kind) {
    case 'play':
      return { kind, mount, grip };
    case 'camber_on_bar':
      return { kind, mount, turn };
    case 'carried_toe':
      return { kind, axle, to_left, with_edge: edge === 'yes' };
    case 'camber_on_hub':
      return { kind, mount };
    case 'height_sweep': {
      const ride_height_mm = readDeg(ride_height);
      return { kind, mount, ...(ride_height_mm === null ? {} : { ride_height_mm }) };
    }
    case 'centring':
      return { kind, by };
    case 'toe_out_on_turns':
      return { kind, by: sourcesOf(kind).includes(by) ? by : 'gyro' };
  }
}

/** Fields that a wanted figure is typed into. */
export function wantedFields({ what }: CheckWants): readonly string[] {
  switch (what) {
    case 'plates':
      return ['front_left', 'front_right'];
    case 'steering_wheel':
      return ['steering_wheel'];
    case 'height':
      return ['height', 'toe'];
  }
}

/** The figures to send, in order; null while one is missing or is none. */
export function figuresOf({ what, may_step }: CheckWants, typed: Readonly<Record<string, string>>): CheckFigure[] | null {
  const text = (field: string): string => (typed[field] ?? '').trim();
  switch (what) {
    case 'plates': {
      const read = (['front_left', 'front_right'] as const).map((mount) => ({ mount, plate_deg: readAngle(text(mount)) }));
      return read.every(({ plate_deg }) => plate_deg !== null) ? read.map(({ mount, plate_deg }) => ({ what: 'plate', mount, plate_deg: plate_deg as number })) : null;
    }
    case 'steering_wheel': {
      const steering_wheel_deg = readAngle(text('steering_wheel'));
      return steering_wheel_deg === null ? null : [{ what, steering_wheel_deg }];
    }
    case 'height': {
      const [height_mm, toe_deg] = [readDeg(text('height')), readAngle(text('toe'))];
      if ((text('height') !== '' && height_mm === null) || (text('toe') !== '' && toe_deg === null) || (height_mm === null && !may_step)) return null;
      return [{ what, ...(height_mm === null ? {} : { height_mm }), ...(toe_deg === null ? {} : { toe_deg }) }];
    }
  }
}

/** The result of the check that ran last, if it had one. */
export function resultOf(state: Pick<StateView, 'check' | 'checked'>): CheckResultView | undefined {
  return (state.checked as CheckResultView[] | undefined)?.findLast(({ run }) => run === state.check.run);
}
