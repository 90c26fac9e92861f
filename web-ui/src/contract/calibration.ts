// The requests about the calibration of a board.
import { ask, type Answer } from './requests';
import type { CalibrationKind, CalibrationView } from './types';

type Told = Promise<Answer<CalibrationView>>;

const path = (what: string): string => `api/v1/calibration/${what}`;

export const startCalibration = (board: string, kind: CalibrationKind): Told => ask(path('start'), { board, kind });

export const takeBackPose = (board: string, pose: number | null): Told => ask(path('take-back'), { board, pose });

export const solveCalibration = (board: string): Told => ask(path('solve'), { board });

export const keepCalibration = (board: string): Told => ask(path('keep'), { board });

export const discardCalibration = (board: string): Told => ask(path('discard'), { board });

export const cancelCalibration = (board: string): Told => ask(path('cancel'), { board });
