//! Words for what a wrong number can mean, and what to look at next.

use hubplumb_core::causes::{
    Against, Cause, CausesError, Checked, Clue, Distinction, Kind, NextCheck, Note, Pivot,
    Strength, Suspension,
};

use super::{side_words, trouble};
use crate::http::views::TroubleView;

/// How the front wheels are hung.
pub const fn suspension_words(suspension: Suspension) -> &'static str {
    match suspension {
        Suspension::Wishbones => "upper and lower arm",
        Suspension::Strut => "strut and lower arm",
        Suspension::SolidAxle => "solid axle",
        Suspension::Unknown => "suspension not known",
    }
}

const fn pivot_words(pivot: Pivot) -> &'static str {
    match pivot {
        Pivot::UpperArm => "upper arm bent, or its mount moved",
        Pivot::LowerArm => "lower arm bent, or its mount moved",
        Pivot::TowerIn => "strut tower leaning in",
        Pivot::TowerOut => "strut tower leaning out",
        Pivot::AxleBeam => "axle beam bent",
    }
}

/// A candidate, never said as certain.
pub fn cause_words(cause: Cause) -> String {
    match cause {
        Cause::WornJoint => "a worn joint, bush or wheel bearing".into(),
        Cause::RideHeight => "ride height: springs, load or tyre pressures".into(),
        Cause::Knuckle(side) => format!(
            "{}: knuckle or spindle bent, at a strut also the strut's tube",
            side_words(side)
        ),
        Cause::PivotMoved(pivot, side) => {
            format!("{}: {}", side_words(side), pivot_words(pivot))
        }
        Cause::PivotAndKnuckle(pivot, side) => format!(
            "{}: {}, and knuckle, spindle or strut bent too",
            side_words(side),
            pivot_words(pivot)
        ),
        Cause::CradleShifted => "the front cradle shifted sideways".into(),
        Cause::LowerPivotRearward(side) => {
            format!("{}: lower joint pushed rearward", side_words(side))
        }
        Cause::SteeringArm(side) => format!("{}: steering arm bent", side_words(side)),
        Cause::RearAxle => "rear axle or its cradle shifted or bent, or rear toe uneven".into(),
        Cause::SteeringOffCentre => {
            "steering gear off its middle, or tie rods of unlike length".into()
        }
    }
}

/// What to look at next.
pub const fn next_check_words(check: NextCheck) -> &'static str {
    match check {
        NextCheck::FeelForPlay => {
            "With the corner on a stand, rock the wheel top to bottom and side to side and watch every joint, bush and bearing. Put right what has play, then measure again."
        }
        NextCheck::MeasureHeights => {
            "Set the tyre pressures and the load the maker states, settle the car, and measure ride height at all corners against the maker's figures."
        }
        NextCheck::CompareKnuckles => {
            "Compare the knuckles of both sides: cracked paint, rust lines, distance from hub face to ball joint, and the strut's tube against a straight-edge."
        }
        NextCheck::CompareUpperArms => {
            "Compare the upper arms of both sides: length from bolt to ball joint, creases, bushes, and the mounts on the body."
        }
        NextCheck::CompareLowerArms => {
            "Compare the lower arms of both sides: length from bush to ball joint, creases, bushes, and the mounts on the body or cradle."
        }
        NextCheck::MeasureTowers => {
            "Measure between the strut towers and across to fixed points of the body, and compare the sides; look for creased panels and cracked sealer."
        }
        NextCheck::SightAxleBeam => {
            "Sight along the axle beam from both ends and compare it with a tight string."
        }
        NextCheck::PivotThenKnuckle => {
            "Look at the arm or tower first. When that is right, measure again: if the included angle is still off, compare the knuckles."
        }
        NextCheck::MeasureCradle => {
            "Measure the cradle against fixed points of the body on both sides, and look for shiny marks where it sat before."
        }
        NextCheck::CompareWheelbases => {
            "Compare the wheelbases of both sides, and look at the rear bush of the lower arm and its mount."
        }
        NextCheck::CompareSteeringArms => {
            "With toe set, measure toe-out on turns to both sides again and compare the steering arms."
        }
        NextCheck::MeasureRearAxle => {
            "Measure rear toe wheel by wheel, then the rear axle against fixed points of the body on both sides, and look at its bushes."
        }
        NextCheck::CentreSteering => {
            "Count the steering wheel from lock to lock, set it in the middle, and compare the lengths of the tie rods."
        }
    }
}

/// How strongly the figures speak.
pub const fn strength_words(strength: Strength) -> &'static str {
    match strength {
        Strength::Weak => "the figures hint at it",
        Strength::Fair => "the figures speak for it",
        Strength::Strong => "the figures speak strongly for it",
    }
}

/// Whether something that is ruled out first was looked at.
pub const fn checked_words(checked: Checked) -> &'static str {
    match checked {
        Checked::NotYet => "not looked at yet",
        Checked::Sound => "looked at and sound",
        Checked::Wrong => "found wrong: put it right first",
    }
}

/// How far the candidates are told apart.
pub const fn distinction_words(distinction: &Distinction) -> &'static str {
    match distinction {
        Distinction::NothingCounts => {
            "No figure is off by more than its own uncertainty, so nothing is named."
        }
        Distinction::NothingFits => {
            "Something is off, and none of the causes known here explains it."
        }
        Distinction::CannotTell(_) => {
            "These figures cannot tell the first candidates apart; the next checks can."
        }
        Distinction::FirstLeads => {
            "The first candidate fits best. It is a candidate until its check is done."
        }
    }
}

/// What goes with every list of candidates.
pub const fn note_words(note: Note) -> &'static str {
    match note {
        Note::LicensedPractice => {
            "If the car had an accident or hit something, have the damage judged and repaired by people who may do so where you live; do not drive before."
        }
        Note::NeverHeatOrBend => {
            "A bent steering or suspension part is replaced, never heated or bent straight."
        }
        Note::SideNotKnown => {
            "Some figures only compare left with right, so they do not tell which side is off."
        }
        Note::MoreThanOneFault => {
            "The first candidate leaves something unexplained: there may be more than one fault."
        }
        Note::PutRightFirst => {
            "Something was found wrong already. Put it right and measure all again before believing anything below."
        }
    }
}

const fn kind_words(kind: Kind) -> &'static str {
    match kind {
        Kind::Camber => "camber",
        Kind::Caster => "caster",
        Kind::Sai => "steering axis inclination",
        Kind::IncludedAngle => "included angle",
        Kind::TurningOut => "toe-out on turns",
    }
}

/// Which figure.
pub fn clue_words(clue: Clue) -> String {
    match clue {
        Clue::Wheel(kind, side) => format!("{} {}", side_words(side), kind_words(kind)),
        Clue::Across(kind) => format!("{}, left less right", kind_words(kind)),
        Clue::Setback => "setback".into(),
        Clue::Thrust => "thrust angle".into(),
        Clue::Centring => "middle of the steering".into(),
    }
}

/// What a figure is held against.
pub const fn against_words(against: Against) -> &'static str {
    match against {
        Against::Data => "against the car's data",
        Against::OtherSide => "against the other side",
        Against::Before => "against the measurement before",
    }
}

/// Why nothing can be said, for a person.
pub fn causes_trouble(error: &CausesError) -> TroubleView {
    let (code, what, remedy) = match *error {
        CausesError::NoFigure => (
            "no_figure",
            "There is no figure with a target, and none of both sides.".into(),
            "Measure both sides, or enter the car's data.",
        ),
        CausesError::NoUncertainty { clue, .. } => (
            "figure_without_uncertainty",
            format!("The {} has no uncertainty.", clue_words(clue)),
            "Enter how far the figure can be trusted, or measure it again.",
        ),
        CausesError::Twice { clue } => (
            "figure_twice",
            format!("The {} was given twice.", clue_words(clue)),
            "Keep one of the two.",
        ),
        CausesError::Correlations => (
            "figures_do_not_go_together",
            "The uncertainties of the figures do not go together.".into(),
            "Measure again.",
        ),
    };
    trouble(
        code,
        what,
        "What a deviation can mean is worked out from its size against its uncertainty.",
        remedy,
    )
}

#[cfg(test)]
mod tests;
