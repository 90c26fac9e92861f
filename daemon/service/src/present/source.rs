//! What entered figures are uncertain by, in words, and what helps.

use hubplumb_core::decision::Remedy;
use hubplumb_core::entered::Source;

use super::finding::cause_words;
use crate::text;
use crate::text::Text;

/// A source in words.
pub(super) const fn source_words(source: Source) -> Text {
    match source {
        Source::TapeReading => text!("reading of the tape"),
        Source::Diameter => text!("diameter that was measured at"),
        Source::GaugingHeight => text!("height that was measured at"),
        Source::StringNotParallel => text!("direction of the strings"),
        Source::StringToHub => text!("distances from string to hub"),
        Source::Width => text!("track, or width between the strings"),
        Source::Wheelbase => text!("wheelbase"),
        Source::RunOut => text!("run-out of the rim"),
        Source::MirrorDistance => text!("distance from mirror to screen"),
        Source::SpotReading => text!("place of the spot"),
        Source::BeamNotSquare => text!("direction of the beam"),
        Source::SlipPlate => text!("reading of the slip plate"),
        Source::TyreSideForce => text!("side forces of the tyre that are no toe"),
        Source::PlateReading => text!("reading of the turn plates"),
        Source::SteeringWheelReading => text!("reading of the steering wheel"),
        Source::SteeringRatio => text!("steering ratio"),
        Source::Interpolation => text!("what happens between the angles read"),
        Source::KingpinSpacing => text!("distance of the steering axes"),
        Source::WheelRadius => text!("loaded radius of the wheel"),
        Source::AxisOffset => text!("place of the steering axis"),
        Source::FrameAngle => text!("slope of the frame"),
        Source::MakersData => text!("the maker's figure"),
        Source::SensedAngles => text!("the measured angles"),
        Source::Sensed(cause) => cause_words(cause),
    }
}

/// What to do so that a source counts less.
pub(super) const fn remedy_words(source: Source) -> Text {
    match Remedy::of(source) {
        Remedy::LongerStops => text!("Rest longer at each stop."),
        Remedy::MoreStops => text!("Take more stops, or measure again."),
        Remedy::TurnEndForEnd => text!("Turn the board end for end."),
        Remedy::CalibrateBoard => text!("Calibrate the board by poses."),
        Remedy::ReadSteerBetter => text!("Steer farther, or read the angles more finely."),
        Remedy::TakeOutRunOut => {
            text!("Roll the car on by half a turn of the wheel and read again: run-out drops out.")
        }
        Remedy::FindMounting => text!("Find how the board sits by turning the wheel."),
        Remedy::MeasureToe => text!("Measure toe first."),
        Remedy::SurveyFloor => text!("Survey the floor."),
        Remedy::BodyBoard => text!("Fix a board to the body."),
        Remedy::ReadTapeBetter => {
            text!("Read more finely: a steel rule or calliper, the mean of several readings.")
        }
        Remedy::LargerDiameter => {
            text!("Measure at a larger diameter, and know that diameter to a millimetre.")
        }
        Remedy::AlignStrings => {
            text!(
                "Measure from the strings to all four hubs, and enter tracks and wheelbase: then the strings need not be parallel."
            )
        }
        Remedy::MeasureCarBetter => text!("Measure the car's lengths more closely."),
        Remedy::LongerPath => text!("Put the screen farther from the mirror."),
        Remedy::SquareBeam => text!("Square the beam to the car's centreline."),
        Remedy::MeasureToeStanding => {
            text!("Measure toe by strings, gap or light: a plate only shows the way.")
        }
        Remedy::PairsCloser => text!("Read both wheels nearer to the stated angle."),
        Remedy::MeasureRatio => text!("Measure the steering ratio on the car."),
        Remedy::BetterData => text!("Get the maker's figure, or measure it on the car."),
    }
}
