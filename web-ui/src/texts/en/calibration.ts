// Texts about calibrations, in English. What the daemon words itself is shown as it comes.
import type { AxisName, CalibrationPhase, CalibrationState, EdgeView } from '../../contract/types';
import type { Cautions } from '../shape';
import type { Way } from '../../state/calibration';

export const calibration = {
  title: (board: string) => `Calibrating ${board}`,
  start: 'Calibrate by poses',
  again: 'Calibrate again',
  reversal: 'Turn end for end',
  held: (held: string, needed: string) => `${held} of ${needed} s`,
  poses: (taken: number) => (taken === 1 ? '1 pose taken' : `${taken} poses taken`),
  toGo: (n: number) => (n === 0 ? 'enough' : `${n} to go`),
  rests: (taken: number) => `${taken} of 2 rests taken`,
  turn: 'turn it',
  left: (time: string) => `${time} s`,
  misfit: (n: number) => `pose ${n}`,
  takeItBack: 'Take it back',
  done: 'done',
  missing: 'still to lay',
  takeBack: 'Take back the last pose',
  takeBackPose: (n: number) => `Take back pose ${n}`,
  solve: 'Solve now',
  cancel: 'Cancel the calibration',
  close: 'Close',
  keep: 'Keep it',
  discard: 'Discard it',
  camber: 'left in camber',
  offset: 'offset known to',
  residual: 'poses agree within',
  worst: 'worst pose',
  worstIs: (n: number, off: string) => `number ${n}, ${off} mg off`,
  found: 'offset found',
  temperature: 'chip during it',
  warmed: (mean: string, span: string | null) => (span === null ? `${mean} °C` : `${mean} °C, within ${span} °C`),
  resultPoses: 'poses',
  mg: (value: string) => `${value} mg`,
  plusMinusMg: (value: string) => `± ${value} mg`,
  cautionsTitle: 'Before you calibrate',
  settled: (axis: string, mg: string) => `${axis}: ± ${mg} mg`,
  settledName: 'settled end for end',
  offsetName: 'offset known to',
  state: {
    valid: 'calibrated',
    old: 'calibration old',
    absent: 'not calibrated',
    unreadable: 'calibration unreadable',
  } satisfies Record<CalibrationState, string>,
  phase: {
    lay: 'Lay it',
    hold: 'Hands off',
    taken: 'Taken – next',
    solved: 'Done',
    ended: 'No result',
  } satisfies Record<CalibrationPhase, string>,
  face: {
    '+x': 'X up',
    '-x': 'X down',
    '+y': 'Y up',
    '-y': 'Y down',
    '+z': 'Z up',
    '-z': 'Z down',
  } satisfies Record<AxisName, string>,
  edge: { xy: 'X+Y slant', xz: 'X+Z slant', yz: 'Y+Z slant' } satisfies Record<EdgeView, string>,
  /** The way in the words that stand largest; they have to fit one line at a size read from three metres. */
  way: (way: Way) => {
    if (way.kind === 'upright') return `${way.arrow} ${way.up ? 'up' : 'down'}`;
    if (way.kind === 'slant') return `${way.first}+${way.second} slant`;
    return 'new slant';
  },
  /** What to see to before. Little can hurt anybody here, and much can spoil the result. */
  cautions: [
    ['Warm', 'Let the board run for ten minutes where it will be used: an offset moves with the temperature.'],
    ['Steady', 'A heavy table that nobody leans on; no engine, no compressor running.'],
    ['Loose cable', 'Its cable must not pull at the board while it lies.'],
    ['Live pins', 'Do not lay bare pins on metal: the board is under power.'],
  ] as Cautions,
};
