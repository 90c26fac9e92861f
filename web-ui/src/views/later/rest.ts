// What the first figures do not need, as one file of its own.
export { CalibrationStage } from '../calibration-stage';
export { CarForm } from '../car/form';
export { CarHistory } from '../car/history';
export { CarImport } from '../car/import';
export { CheckStage } from '../check/check-stage';
export { FirstRun } from '../first-run/first-run';
export { ReachPanel } from '../reach-panel';
export { WorkStage } from '../visit/work-stage';
