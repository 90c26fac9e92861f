// Names for the HTTP contract. The types themselves are generated from docs/openapi.json
// (`npm run contract`; `npm run contract:check` tells whether they still match it).
// Angles are in degrees, times in microseconds of the daemon's clock.
import type { components } from './openapi';

type Schemas = components['schemas'];

/** A field that may be absent or null; both mean "none". */
export type Optional<T> = T | null | undefined;

export type AngleView = Schemas['AngleView'];
export type BadFramesView = Schemas['BadFramesView'];
export type BoardState = Schemas['BoardState'];
export type BoardView = Schemas['BoardView'];
export type CalibrationKind = Schemas['CalibrationKind'];
export type CalibrationPhase = Schemas['CalibrationPhase'];
export type CalibrationProcedureView = Schemas['CalibrationProcedureView'];
export type CalibrationResultView = Schemas['CalibrationResultView'];
export type CalibrationState = Schemas['CalibrationState'];
export type CalibrationView = Schemas['CalibrationView'];
export type ChangeView = Schemas['ChangeView'];
export type EdgeView = Schemas['EdgeView'];
export type AxisName = Schemas['AxisName'];
export type BodyHeading = Schemas['BodyHeading'];
export type DifferenceView = Schemas['DifferenceView'];
export type FindingView = Schemas['FindingView'];
export type FloorHeights = Schemas['FloorHeights'];
export type FloorLineRest = Schemas['FloorLineRest'];
export type FloorView = Schemas['FloorView'];
export type LevellingView = Schemas['LevellingView'];
export type LineName = Schemas['LineName'];
export type MotionView = Schemas['MotionView'];
export type MountView = Schemas['MountView'];
export type PlateReading = Schemas['PlateReading'];
export type ProblemView = Schemas['ProblemView'];
export type QuantityView = Schemas['QuantityView'];
export type RestView = Schemas['RestView'];
export type RestWheelView = Schemas['RestWheelView'];
export type RunOutPhase = Schemas['RunOutPhase'];
export type RunOutResultView = Schemas['RunOutResultView'];
export type RunOutView = Schemas['RunOutView'];
export type ScenarioView = Schemas['ScenarioView'];
export type StateView = Schemas['StateView'];
export type SteerSource = Schemas['SteerSource'];
export type SwingPhase = Schemas['SwingPhase'];
export type SwingView = Schemas['SwingView'];
export type ToeEntry = Schemas['ToeEntry'];
export type ToeView = Schemas['ToeView'];
export type TimeBy = Schemas['TimeBy'];
export type TroubleView = Schemas['TroubleView'];
export type TruthView = Schemas['TruthView'];
export type WheelView = Schemas['WheelView'];
