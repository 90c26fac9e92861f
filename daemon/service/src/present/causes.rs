//! Words for what a wrong number can mean, and what to look at next.

use hubplumb_core::causes::{
    Against, Cause, CausesError, Checked, Clue, Distinction, Kind, NextCheck, Note, Pivot,
    Strength, Suspension,
};

use super::trouble;
use crate::http::views::TroubleView;
use crate::text;
use crate::text::Text;
use hubplumb_core::side::Side;

/// How the front wheels are hung.
pub const fn suspension_words(suspension: Suspension) -> Text {
    match suspension {
        Suspension::Wishbones => text!("upper and lower arm"),
        Suspension::Strut => text!("strut and lower arm"),
        Suspension::SolidAxle => text!("solid axle"),
        Suspension::Unknown => text!("suspension not known"),
    }
}

const fn pivot_words(pivot: Pivot) -> Text {
    match pivot {
        Pivot::UpperArm => text!("upper arm bent, or its mount moved"),
        Pivot::LowerArm => text!("lower arm bent, or its mount moved"),
        Pivot::TowerIn => text!("strut tower leaning in"),
        Pivot::TowerOut => text!("strut tower leaning out"),
        Pivot::AxleBeam => text!("axle beam bent"),
    }
}

/// A front wheel's side at the beginning of what is wrong there.
const fn side_words(side: Side) -> Text {
    match side {
        Side::Left => text!(in "side"; "left"),
        Side::Right => text!(in "side"; "right"),
    }
}

/// A candidate, never said as certain.
pub fn cause_words(cause: Cause) -> Text {
    match cause {
        Cause::WornJoint => text!("a worn joint, bush or wheel bearing"),
        Cause::RideHeight => text!("ride height: springs, load or tyre pressures"),
        Cause::Knuckle(side) => text!(
            "{side}: knuckle or spindle bent, at a strut also the strut's tube",
            side = side_words(side)
        ),
        Cause::PivotMoved(pivot, side) => {
            Text::joined([side_words(side), pivot_words(pivot)], ": ")
        }
        Cause::PivotAndKnuckle(pivot, side) => text!(
            "{side}: {pivot}, and knuckle, spindle or strut bent too",
            side = side_words(side),
            pivot = pivot_words(pivot)
        ),
        Cause::CradleShifted => text!("the front cradle shifted sideways"),
        Cause::LowerPivotRearward(side) => {
            text!(
                "{side}: lower joint pushed rearward",
                side = side_words(side)
            )
        }
        Cause::SteeringArm(side) => text!("{side}: steering arm bent", side = side_words(side)),
        Cause::RearAxle => {
            text!("rear axle or its cradle shifted or bent, or rear toe uneven")
        }
        Cause::SteeringOffCentre => {
            text!("steering gear off its middle, or tie rods of unlike length")
        }
    }
}

/// What to look at next.
pub const fn next_check_words(check: NextCheck) -> Text {
    match check {
        NextCheck::FeelForPlay => {
            text!(
                "With the corner on a stand, rock the wheel top to bottom and side to side and watch every joint, bush and bearing. Put right what has play, then measure again."
            )
        }
        NextCheck::MeasureHeights => {
            text!(
                "Set the tyre pressures and the load the maker states, settle the car, and measure ride height at all corners against the maker's figures."
            )
        }
        NextCheck::CompareKnuckles => {
            text!(
                "Compare the knuckles of both sides: cracked paint, rust lines, distance from hub face to ball joint, and the strut's tube against a straight-edge."
            )
        }
        NextCheck::CompareUpperArms => {
            text!(
                "Compare the upper arms of both sides: length from bolt to ball joint, creases, bushes, and the mounts on the body."
            )
        }
        NextCheck::CompareLowerArms => {
            text!(
                "Compare the lower arms of both sides: length from bush to ball joint, creases, bushes, and the mounts on the body or cradle."
            )
        }
        NextCheck::MeasureTowers => {
            text!(
                "Measure between the strut towers and across to fixed points of the body, and compare the sides; look for creased panels and cracked sealer."
            )
        }
        NextCheck::SightAxleBeam => {
            text!("Sight along the axle beam from both ends and compare it with a tight string.")
        }
        NextCheck::PivotThenKnuckle => {
            text!(
                "Look at the arm or tower first. When that is right, measure again: if the included angle is still off, compare the knuckles."
            )
        }
        NextCheck::MeasureCradle => {
            text!(
                "Measure the cradle against fixed points of the body on both sides, and look for shiny marks where it sat before."
            )
        }
        NextCheck::CompareWheelbases => {
            text!(
                "Compare the wheelbases of both sides, and look at the rear bush of the lower arm and its mount."
            )
        }
        NextCheck::CompareSteeringArms => {
            text!(
                "With toe set, measure toe-out on turns to both sides again and compare the steering arms."
            )
        }
        NextCheck::MeasureRearAxle => {
            text!(
                "Measure rear toe wheel by wheel, then the rear axle against fixed points of the body on both sides, and look at its bushes."
            )
        }
        NextCheck::CentreSteering => {
            text!(
                "Count the steering wheel from lock to lock, set it in the middle, and compare the lengths of the tie rods."
            )
        }
    }
}

/// How strongly the figures speak.
pub const fn strength_words(strength: Strength) -> Text {
    match strength {
        Strength::Weak => text!("the figures hint at it"),
        Strength::Fair => text!("the figures speak for it"),
        Strength::Strong => text!("the figures speak strongly for it"),
    }
}

/// Whether something that is ruled out first was looked at.
pub const fn checked_words(checked: Checked) -> Text {
    match checked {
        Checked::NotYet => text!("not looked at yet"),
        Checked::Sound => text!("looked at and sound"),
        Checked::Wrong => text!("found wrong: put it right first"),
    }
}

/// How far the candidates are told apart.
pub const fn distinction_words(distinction: &Distinction) -> Text {
    match distinction {
        Distinction::NothingCounts => {
            text!("No figure is off by more than its own uncertainty, so nothing is named.")
        }
        Distinction::NothingFits => {
            text!("Something is off, and none of the causes known here explains it.")
        }
        Distinction::CannotTell(_) => {
            text!("These figures cannot tell the first candidates apart; the next checks can.")
        }
        Distinction::FirstLeads => {
            text!("The first candidate fits best. It is a candidate until its check is done.")
        }
    }
}

/// What goes with every list of candidates.
pub const fn note_words(note: Note) -> Text {
    match note {
        Note::LicensedPractice => {
            text!(
                "If the car had an accident or hit something, have the damage judged and repaired by people who may do so where you live; do not drive before."
            )
        }
        Note::NeverHeatOrBend => {
            text!("A bent steering or suspension part is replaced, never heated or bent straight.")
        }
        Note::SideNotKnown => {
            text!(
                "Some figures only compare left with right, so they do not tell which side is off."
            )
        }
        Note::MoreThanOneFault => {
            text!(
                "The first candidate leaves something unexplained: there may be more than one fault."
            )
        }
        Note::PutRightFirst => {
            text!(
                "Something was found wrong already. Put it right and measure all again before believing anything below."
            )
        }
    }
}

const fn kind_words(kind: Kind) -> Text {
    match kind {
        Kind::Camber => text!("camber"),
        Kind::Caster => text!("caster"),
        Kind::Sai => text!("steering axis inclination"),
        Kind::IncludedAngle => text!("included angle"),
        Kind::TurningOut => text!("toe-out on turns"),
    }
}

/// Which figure.
pub fn clue_words(clue: Clue) -> Text {
    match clue {
        Clue::Wheel(kind, side) => text!(
            "{side} {angle}",
            side = side_words(side),
            angle = kind_words(kind)
        ),
        Clue::Across(kind) => text!("{angle}, left less right", angle = kind_words(kind)),
        Clue::Setback => text!("setback"),
        Clue::Thrust => text!("thrust angle"),
        Clue::Centring => text!("middle of the steering"),
    }
}

/// What a figure is held against.
pub const fn against_words(against: Against) -> Text {
    match against {
        Against::Data => text!("against the car's data"),
        Against::OtherSide => text!("against the other side"),
        Against::Before => text!("against the measurement before"),
    }
}

/// Why nothing can be said, for a person.
pub fn causes_trouble(error: &CausesError) -> TroubleView {
    let (code, what, remedy) = match *error {
        CausesError::NoFigure => (
            "no_figure",
            text!("There is no figure with a target, and none of both sides."),
            text!("Measure both sides, or enter the car's data."),
        ),
        CausesError::NoUncertainty { clue, .. } => (
            "figure_without_uncertainty",
            text!(
                "The {figure} has no uncertainty.",
                figure = clue_words(clue)
            ),
            text!("Enter how far the figure can be trusted, or measure it again."),
        ),
        CausesError::Twice { clue } => (
            "figure_twice",
            text!("The {figure} was given twice.", figure = clue_words(clue)),
            text!("Keep one of the two."),
        ),
        CausesError::Correlations => (
            "figures_do_not_go_together",
            text!("The uncertainties of the figures do not go together."),
            text!("Measure again."),
        ),
    };
    trouble(
        code,
        what,
        text!("What a deviation can mean is worked out from its size against its uncertainty."),
        remedy,
    )
}

#[cfg(test)]
mod tests;
