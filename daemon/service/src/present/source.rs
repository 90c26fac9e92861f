//! What entered figures are uncertain by, in words, and what helps.

use hubplumb_core::decision::Remedy;
use hubplumb_core::entered::Source;

use super::finding::cause_words;

/// A source in words.
pub(super) const fn source_words(source: Source) -> &'static str {
    match source {
        Source::TapeReading => "reading of the tape",
        Source::Diameter => "diameter that was measured at",
        Source::GaugingHeight => "height that was measured at",
        Source::StringNotParallel => "direction of the strings",
        Source::StringToHub => "distances from string to hub",
        Source::Width => "track, or width between the strings",
        Source::Wheelbase => "wheelbase",
        Source::RunOut => "run-out of the rim",
        Source::MirrorDistance => "distance from mirror to screen",
        Source::SpotReading => "place of the spot",
        Source::BeamNotSquare => "direction of the beam",
        Source::SlipPlate => "reading of the slip plate",
        Source::TyreSideForce => "side forces of the tyre that are no toe",
        Source::PlateReading => "reading of the turn plates",
        Source::SteeringWheelReading => "reading of the steering wheel",
        Source::SteeringRatio => "steering ratio",
        Source::Interpolation => "what happens between the angles read",
        Source::KingpinSpacing => "distance of the steering axes",
        Source::WheelRadius => "loaded radius of the wheel",
        Source::AxisOffset => "place of the steering axis",
        Source::FrameAngle => "slope of the frame",
        Source::MakersData => "the maker's figure",
        Source::SensedAngles => "the measured angles",
        Source::Sensed(cause) => cause_words(cause),
    }
}

/// What to do so that a source counts less.
pub(super) const fn remedy_words(source: Source) -> &'static str {
    match Remedy::of(source) {
        Remedy::LongerStops => "Rest longer at each stop.",
        Remedy::MoreStops => "Take more stops, or measure again.",
        Remedy::TurnEndForEnd => "Turn the board end for end.",
        Remedy::CalibrateBoard => "Calibrate the board by poses.",
        Remedy::ReadSteerBetter => "Steer farther, or read the angles more finely.",
        Remedy::TakeOutRunOut => {
            "Roll the car on by half a turn of the wheel and read again: run-out drops out."
        }
        Remedy::FindMounting => "Find how the board sits by turning the wheel.",
        Remedy::MeasureToe => "Measure toe first.",
        Remedy::SurveyFloor => "Survey the floor.",
        Remedy::BodyBoard => "Fix a board to the body.",
        Remedy::ReadTapeBetter => {
            "Read more finely: a steel rule or calliper, the mean of several readings."
        }
        Remedy::LargerDiameter => {
            "Measure at a larger diameter, and know that diameter to a millimetre."
        }
        Remedy::AlignStrings => {
            "Measure from the strings to all four hubs, and enter tracks and wheelbase: then the strings need not be parallel."
        }
        Remedy::MeasureCarBetter => "Measure the car's lengths more closely.",
        Remedy::LongerPath => "Put the screen farther from the mirror.",
        Remedy::SquareBeam => "Square the beam to the car's centreline.",
        Remedy::MeasureToeStanding => {
            "Measure toe by strings, gap or light: a plate only shows the way."
        }
        Remedy::PairsCloser => "Read both wheels nearer to the stated angle.",
        Remedy::MeasureRatio => "Measure the steering ratio on the car.",
        Remedy::BetterData => "Get the maker's figure, or measure it on the car.",
    }
}
