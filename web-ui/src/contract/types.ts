// Names for the HTTP contract. The types themselves are generated from docs/openapi.json
// (`npm run contract`; `npm run contract:check` tells whether they still match it).
// Angles are in degrees, times in microseconds of the daemon's clock.
import type { components } from './openapi';

type Schemas = components['schemas'];

/** A field that may be absent or null; both mean "none". */
export type Optional<T> = T | null | undefined;

export type AnnouncedView = Schemas['AnnouncedView'];
export type CertificateView = Schemas['CertificateView'];
export type ReachAddress = Schemas['ReachAddress'];
export type ReachView = Schemas['ReachView'];
export type KnownDeviceView = Schemas['KnownDeviceView'];
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
export type AxleName = Schemas['AxleName'];
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
export type SwingCurveView = Schemas['SwingCurveView'];
export type SteerSource = Schemas['SteerSource'];
export type SwingPhase = Schemas['SwingPhase'];
export type SwingView = Schemas['SwingView'];
export type ToeEntry = Schemas['ToeEntry'];
export type ToeView = Schemas['ToeView'];
export type TimeBy = Schemas['TimeBy'];
export type TraceBatchView = Schemas['TraceBatchView'];
export type TroubleView = Schemas['TroubleView'];
export type TruthView = Schemas['TruthView'];
export type WheelView = Schemas['WheelView'];

// Finding boards and saying where they are.
export type BluetoothView = Schemas['BluetoothView'];
export type JoltResult = Schemas['JoltResult'];
export type NamingView = Schemas['NamingView'];
export type PlacedView = Schemas['PlacedView'];
export type PractisedView = Schemas['PractisedView'];
export type SeenView = Schemas['SeenView'];
export type SetupView = Schemas['SetupView'];

// Cars and visits.
export type AdjusterRecord = Schemas['AdjusterRecord'];
export type AdjusterWay = Schemas['AdjusterWay'];
export type AfterMove = Schemas['AfterMove'];
export type AtHandView = Schemas['AtHandView'];
export type AxleRecord = Schemas['AxleRecord'];
export type AxleTargets = Schemas['AxleTargets'];
export type CandidateView = Schemas['CandidateView'];
export type CarHistoryView = Schemas['CarHistoryView'];
export type CarRecord = Schemas['CarRecord'];
export type CarView = Schemas['CarView'];
export type Conditions = Schemas['Conditions'];
export type Corner = Schemas['Corner'];
export type CurveView = Schemas['CurveView'];
export type EnteredFigures = Schemas['EnteredFigures'];
export type EntryWanted = Schemas['EntryWanted'];
export type GapPair = Schemas['GapPair'];
export type Limits = Schemas['Limits'];
export type MeaningView = Schemas['MeaningView'];
export type Move = Schemas['Move'];
export type PastFigureView = Schemas['PastFigureView'];
export type PastVisitView = Schemas['PastVisitView'];
export type Place = Schemas['Place'];
export type Point = Schemas['Point'];
export type PointView = Schemas['PointView'];
export type Quantity = Schemas['Quantity'];
export type RunView = Schemas['RunView'];
export type SideDifferenceView = Schemas['SideDifferenceView'];
export type SpotPlace = Schemas['SpotPlace'];
export type Stage = Schemas['Stage'];
export type StringDistances = Schemas['StringDistances'];
export type Unit = Schemas['Unit'];
export type VerdictView = Schemas['VerdictView'];
export type VerdictWord = Schemas['VerdictWord'];
export type VisitFindingView = Schemas['VisitFindingView'];
export type VisitLineView = Schemas['VisitLineView'];
export type VisitView = Schemas['VisitView'];
export type WorkStepView = Schemas['WorkStepView'];

// Guided checks.
export type BarTurnName = Schemas['BarTurnName'];
export type CheckFigure = Schemas['CheckFigure'];
export type CheckFindingView = Schemas['CheckFindingView'];
export type CheckKindView = Schemas['CheckKindView'];
export type CheckPhaseView = Schemas['CheckPhaseView'];
export type CheckResultView = Schemas['CheckResultView'];
export type CheckStart = Schemas['CheckStart'];
export type CheckUnit = Schemas['CheckUnit'];
export type CheckView = Schemas['CheckView'];
export type CheckWants = Schemas['CheckWants'];
export type GripName = Schemas['GripName'];
export type SteerByName = Schemas['SteerByName'];
export type SteeringPosition = Schemas['SteeringPosition'];
