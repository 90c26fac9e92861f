// What the first figures do not need, as one file of its own.
export { Below } from '../below';
export { BoardsFacts } from '../board-facts';
export { CalibrationStage } from '../calibration-stage';
export { CarForm } from '../car/form';
export { CarHistory } from '../car/history';
export { CarImport } from '../car/import';
export { CheckStage } from '../check/check-stage';
export { FirstRun } from '../first-run/first-run';
export { FloorOpen } from '../floor';
export { HandsFreePanel } from '../hands-free-panel';
export { PrepareOpen } from '../visit/prepare';
export { ReachPanel } from '../reach-panel';
export { RunOutOpen } from '../run-out';
export { RunOutStage } from '../run-out-stage';
export { Stage } from '../stage';
export { VisitOpen } from '../visit/visit-line';
export { WorkStage } from '../visit/work-stage';
