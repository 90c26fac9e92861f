//! Words for adjusting: which way, what else changes, in which order, and what to mind.
//!
//! No torque value stands here: it is the maker's to say, for the car at hand.

use hubplumb_core::adjust::{
    Axle, Caution, ContradictionKind, Corner, Dimension, Figure, How, Knob, Place, Reason,
    StepKind, TargetState, Turn, Unit, Way, WheelAngle,
};

use super::side_words;

/// An angle by name.
pub const fn wheel_angle_words(angle: WheelAngle) -> &'static str {
    match angle {
        WheelAngle::Caster => "caster",
        WheelAngle::Camber => "camber",
        WheelAngle::Toe => "toe",
    }
}

/// Which way to move an adjuster.
pub const fn way_words(way: Way) -> &'static str {
    match way {
        Way::Leave => "leave it",
        Way::Lengthen => "make the rod longer",
        Way::Shorten => "make the rod shorter",
        Way::AddShims => "add shims",
        Way::RemoveShims => "take shims out",
        Way::MarkTowardsPlus => "turn the mark towards its + side",
        Way::MarkTowardsMinus => "turn the mark towards its − side",
        Way::TopOut => "move the top of the knuckle out",
        Way::TopIn => "move the top of the knuckle in",
        Way::OwnPlus => "move it the way you count +",
        Way::OwnMinus => "move it the way you count −",
    }
}

/// What is taken hold of.
pub const fn knob_words(knob: Knob) -> &'static str {
    match knob {
        Knob::Rod => "tie rod",
        Knob::FrontBolt => "front bolt of the upper arm",
        Knob::RearBolt => "rear bolt of the upper arm",
        Knob::Cam => "eccentric",
        Knob::Plate => "tapered plate behind the hub",
        Knob::StrutBolt => "bolt between strut and knuckle",
        Knob::Own => "your own adjuster",
    }
}

/// What it is counted in.
pub const fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Turn => "turns",
        Unit::Millimetre => "mm",
        Unit::CamDegree => "degrees of the eccentric",
        Unit::Own => "your own unit",
    }
}

/// Where an adjuster sits.
pub const fn place_words(place: Place) -> &'static str {
    match place {
        Place::TieRod => "at the tie rod",
        Place::ControlArm => "at the inner end of a control arm",
        Place::StrutTop => "at the top of the strut",
        Place::StrutToKnuckle => "between strut and knuckle",
        Place::HubFace => "behind the hub",
        Place::RearLink => "at a link of the rear axle",
        Place::Unknown => "somewhere not named",
    }
}

/// A figure that goes along with a change.
pub const fn figure_words(figure: Figure) -> &'static str {
    match figure {
        Figure::Camber => "camber",
        Figure::Caster => "caster",
        Figure::Toe => "toe",
        Figure::Sai => "steering axis inclination",
        Figure::IncludedAngle => "included angle",
        Figure::Thrust => "thrust line",
        Figure::SteeringWheel => "straight steering wheel",
        Figure::Turning => "lock and toe-out on turns",
    }
}

/// How it goes along.
pub const fn how_words(how: How) -> &'static str {
    match how {
        How::Stays => "stays",
        How::WithIt => "changes as much, the same way",
        How::AgainstIt => "changes as much, the other way",
        How::ByHalf => "changes by half as much",
        How::ALittle => "changes a little; look at it at the end",
        How::MeasureAgain => "changes; measure it again",
    }
}

/// A wheel.
pub fn corner_words(corner: Corner) -> String {
    format!("{} {}", axle_words(corner.axle), side_words(corner.side))
}

const fn axle_words(axle: Axle) -> &'static str {
    match axle {
        Axle::Rear => "rear",
        Axle::Front => "front",
    }
}

/// What to do at a step.
pub fn step_words(kind: StepKind) -> String {
    match kind {
        StepKind::RuleOutWear => {
            "Look for worn joints and loose bearings, and check ride height, load and tyre pressures.".into()
        }
        StepKind::HoldSteeringWheel => {
            "Set the steering wheel straight and hold it there, with a holder that cannot slip.".into()
        }
        StepKind::Set { corner, angle, place } => format!(
            "Set {} {}, {}.",
            corner_words(corner),
            wheel_angle_words(angle),
            place_words(place)
        ),
        StepKind::CheckToe(axle) => format!(
            "Measure {} toe again and set it on both sides.",
            axle_words(axle)
        ),
        StepKind::FindCause { corner, angle } => format!(
            "Find out why {} {} is off: nothing adjusts it on this car.",
            corner_words(corner),
            wheel_angle_words(angle)
        ),
        StepKind::Lock => {
            "Tighten and lock everything that was loosened, with the suspension at ride height where the maker wants it so.".into()
        }
        StepKind::Settle => {
            "Let the suspension settle: bounce each end, or roll the car forward and back.".into()
        }
        StepKind::MeasureAgain => "Measure all angles again.".into(),
        StepKind::ResetSteeringSensor => {
            "Set the zero of the steering angle sensor anew, if the car has one.".into()
        }
    }
}

/// Why a step is there.
pub const fn reason_words(reason: Reason) -> &'static str {
    match reason {
        Reason::WornPartsFirst => {
            "What is worn, low or soft cannot be adjusted away, and moves again on the road."
        }
        Reason::RearMakesThrust => {
            "The rear wheels decide where the car runs; the front is set to that."
        }
        Reason::CasterFirst => "Caster takes camber and toe along, so it goes first.",
        Reason::CamberBeforeToe => "Camber takes toe along, so it goes before toe.",
        Reason::ToeLast => "Everything else moves toe, and toe hardly moves anything else.",
        Reason::StraightWheel => {
            "Front toe is shared between the wheels from the straight steering wheel."
        }
        Reason::MovedByEarlierStep => "An earlier step has moved it.",
        Reason::NothingAdjustsIt => {
            "An angle that cannot be adjusted is off because something is worn, shifted or bent."
        }
        Reason::LoosenedFasteners => "What was loosened has to hold on the road.",
        Reason::WoundUp => "After jacking or adjusting the tyres hold the suspension wound up.",
        Reason::ShowWhatWasReached => "Only a new measurement shows what was reached.",
        Reason::OldStraightAhead => {
            "Stability control still knows the old straight-ahead and may brake for it."
        }
    }
}

/// What to mind.
pub const fn caution_words(caution: Caution) -> &'static str {
    match caution {
        Caution::StandsNotJack => {
            "Put the car on rated stands at the maker's lifting points, on hard level ground. Never reach or lie under a car that stands on a jack alone."
        }
        Caution::ChockWheels => {
            "Chock the wheels that stay on the ground, on both sides of the tyre."
        }
        Caution::MakersTorque => {
            "Tighten steering and suspension fasteners to the vehicle maker's torque value, with a torque wrench. If you do not have the value, get it before you drive."
        }
        Caution::NewLocknuts => {
            "Use new locknuts, bolts and split pins where the maker says so; many may be used only once."
        }
        Caution::ThreadEngaged => {
            "See that enough thread is engaged, as the maker gives it, on both ends of the rod."
        }
        Caution::LockBeforeDriving => {
            "Lock what you set before the car is moved on a road, and check steering and brakes before driving."
        }
        Caution::HandsClear => {
            "Keep hands clear of springs, arms and linkage while the car or the steering moves."
        }
        Caution::LicensedPractice => {
            "Damage by an accident is work for people who may judge and repair it where you live; do not drive before."
        }
        Caution::NeverHeatOrBend => {
            "Never heat or bend a steering or suspension part straight: replace it."
        }
        Caution::MakersSensorProcedure => {
            "Follow the maker's procedure for stability control and driving assistance; they may need a workshop's equipment."
        }
    }
}

/// How near the target is.
pub const fn target_words(state: TargetState) -> &'static str {
    match state {
        TargetState::Far => "go on",
        TargetState::Near => "slowly now",
        TargetState::At => "there: stop",
        TargetState::Past => "past it: go back",
    }
}

/// Which way the angle has to go, in the words of its sign.
pub const fn turn_words(angle: WheelAngle, turn: Turn) -> &'static str {
    match (angle, turn) {
        (_, Turn::Stop) => "leave it",
        (WheelAngle::Camber, Turn::More) => "top out",
        (WheelAngle::Camber, Turn::Less) => "top in",
        (WheelAngle::Caster, Turn::More) => "lean back",
        (WheelAngle::Caster, Turn::Less) => "lean forward",
        (WheelAngle::Toe, Turn::More) => "toe in",
        (WheelAngle::Toe, Turn::Less) => "toe out",
    }
}

/// How a move contradicts the geometry: what it means and what to do.
pub const fn contradiction_words(kind: ContradictionKind) -> [&'static str; 2] {
    match kind {
        ContradictionKind::WrongWay => [
            "It went the other way.",
            "Either it was turned the wrong way, or the adjuster works the other way round on this car. Turn it back to where it was, measure, and try a small move.",
        ],
        ContradictionKind::NothingMoved => [
            "Nothing moved.",
            "The adjuster slipped, is still locked, or the tyres hold the suspension. See that it is free, settle the car and measure again.",
        ],
        ContradictionKind::TooLittle => [
            "It moved less than it should.",
            "The tyres may hold the suspension, or a dimension is not as entered. Settle the car and measure again; if it stays so, let the moves tell the effect.",
        ],
        ContradictionKind::TooMuch => [
            "It moved more than it should.",
            "Something is loose or has shifted, or a dimension is not as entered. Look for loose fasteners and play before going on.",
        ],
        ContradictionKind::ShouldHaveStayed => [
            "An angle moved that should have stayed.",
            "Something else has shifted, or a board has slipped. Look for loose fasteners and at the straps, and measure again.",
        ],
    }
}

/// A dimension of an adjuster.
pub const fn dimension_words(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Pitch => "thread pitch",
        Dimension::SteeringArm => "length of the steering arm",
        Dimension::JointHeight => "height from lower to upper joint",
        Dimension::BoltSpacing => "spacing of the bolts",
        Dimension::ControlArm => "length of the control arm",
        Dimension::Throw => "throw of the eccentric",
        Dimension::Lever => "lever of the adjuster",
        Dimension::PlateDiameter => "diameter of the plate",
        Dimension::Shim => "thickness of a shim",
        Dimension::MarkSpacing => "spacing of the marks",
    }
}

#[cfg(test)]
mod tests;
#[cfg(test)]
pub(in crate::present) use tests::assert_words;
