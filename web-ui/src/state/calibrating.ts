// The calibration of boards as the page holds it: which one is on stage, and what the operator wishes.
import { computed } from '@preact/signals';
import {
  cancelCalibration,
  discardCalibration,
  keepCalibration,
  solveCalibration,
  startCalibration,
  takeBackPose,
} from '../contract/calibration';
import type { CalibrationKind } from '../contract/types';
import { onBench } from './calibration';
import { daemon, request } from './index';

/** The board whose calibration takes the whole screen. */
export const benchOnStage = computed(() => (daemon.value === null ? null : onBench(daemon.value)));

export const wish = {
  start: (board: string, kind: CalibrationKind) => request(() => startCalibration(board, kind)),
  takeBack: (board: string, pose: number | null) => request(() => takeBackPose(board, pose)),
  solve: (board: string) => request(() => solveCalibration(board)),
  keep: (board: string) => request(() => keepCalibration(board)),
  discard: (board: string) => request(() => discardCalibration(board)),
  cancel: (board: string) => request(() => cancelCalibration(board)),
};
