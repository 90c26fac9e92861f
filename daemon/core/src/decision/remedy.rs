//! What makes an uncertainty smaller.

use crate::entered::Source;
use crate::finding::Cause;

/// What to do so that a source of uncertainty counts less.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remedy {
    /// Rest longer at each stop.
    LongerStops,
    /// More stops, or more readings.
    MoreStops,
    /// Turn the board end for end, or calibrate it in more poses.
    TurnEndForEnd,
    /// Calibrate the board: scale and cross-axis.
    CalibrateBoard,
    /// Steer to larger or better known angles: a turn plate, or its finer reading.
    ReadSteerBetter,
    /// Roll the wheel on and take the run-out out.
    TakeOutRunOut,
    /// Find how the board sits by rolling the wheel instead of by its face.
    FindMounting,
    /// Measure toe, or measure it better, before this.
    MeasureToe,
    /// Survey the floor, or its slope better.
    SurveyFloor,
    /// Strap a board to the body.
    BodyBoard,
    /// Read the tape better: a finer rule, a calliper, the mean of several readings.
    ReadTapeBetter,
    /// Gauge at a larger diameter, or know the diameter better.
    LargerDiameter,
    /// Gauge the strings from the hubs, front and rear, and set them parallel.
    AlignStrings,
    /// Measure the wheelbase or the widths better.
    MeasureCarBetter,
    /// Put the screen further from the mirror.
    LongerPath,
    /// Square the beam to the centreline.
    SquareBeam,
    /// Measure toe by strings, bar or spot instead of the slip plate.
    MeasureToeStanding,
    /// Read pairs of steer angles nearer to the one asked for.
    PairsCloser,
    /// Count the steering's turns between two known angles at the wheels.
    MeasureRatio,
    /// Get the maker's figure, or measure it on the car.
    BetterData,
}

impl Remedy {
    /// What helps against a source.
    pub const fn of(source: Source) -> Self {
        match source {
            Source::TapeReading | Source::StringToHub | Source::SpotReading => Self::ReadTapeBetter,
            Source::Diameter | Source::GaugingHeight => Self::LargerDiameter,
            Source::StringNotParallel => Self::AlignStrings,
            Source::Width | Source::Wheelbase | Source::KingpinSpacing | Source::WheelRadius => {
                Self::MeasureCarBetter
            }
            Source::RunOut => Self::TakeOutRunOut,
            Source::MirrorDistance => Self::LongerPath,
            Source::BeamNotSquare => Self::SquareBeam,
            Source::SlipPlate | Source::TyreSideForce => Self::MeasureToeStanding,
            Source::PlateReading | Source::SteeringWheelReading => Self::ReadSteerBetter,
            Source::SteeringRatio => Self::MeasureRatio,
            Source::Interpolation => Self::PairsCloser,
            Source::AxisOffset | Source::MakersData => Self::BetterData,
            Source::FrameAngle => Self::SurveyFloor,
            Source::SensedAngles => Self::MoreStops,
            Source::Sensed(cause) => Self::of_cause(cause),
        }
    }

    const fn of_cause(cause: Cause) -> Self {
        match cause {
            Cause::TiltNoise => Self::LongerStops,
            Cause::AccelOffset => Self::TurnEndForEnd,
            Cause::AccelScale => Self::CalibrateBoard,
            Cause::SteerAngle => Self::ReadSteerBetter,
            Cause::RunOut => Self::MoreStops,
            Cause::MountHeading | Cause::MountTilt => Self::FindMounting,
            Cause::Toe => Self::MeasureToe,
            Cause::Floor => Self::SurveyFloor,
            Cause::BodyMotion => Self::BodyBoard,
        }
    }
}
