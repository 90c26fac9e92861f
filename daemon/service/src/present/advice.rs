//! Words for adjusting: which way, what else changes, in which order, and what to mind.
//!
//! No torque value stands here: it is the maker's to say, for the car at hand.

use hubplumb_core::adjust::{
    Axle, Caution, ContradictionKind, Corner, Dimension, Figure, How, Knob, Place, Reason,
    StepKind, TargetState, Turn, Unit, Way, WheelAngle,
};

use crate::text;
use crate::text::Text;
use hubplumb_core::side::Side;

/// An angle by name.
pub const fn wheel_angle_words(angle: WheelAngle) -> Text {
    match angle {
        WheelAngle::Caster => text!("caster"),
        WheelAngle::Camber => text!("camber"),
        WheelAngle::Toe => text!("toe"),
    }
}

/// Which way to move an adjuster.
pub const fn way_words(way: Way) -> Text {
    match way {
        Way::Leave => text!("leave it"),
        Way::Lengthen => text!("make the rod longer"),
        Way::Shorten => text!("make the rod shorter"),
        Way::AddShims => text!("add shims"),
        Way::RemoveShims => text!("take shims out"),
        Way::MarkTowardsPlus => text!("turn the mark towards its + side"),
        Way::MarkTowardsMinus => text!("turn the mark towards its − side"),
        Way::TopOut => text!("move the top of the knuckle out"),
        Way::TopIn => text!("move the top of the knuckle in"),
        Way::OwnPlus => text!("move it the way you count +"),
        Way::OwnMinus => text!("move it the way you count −"),
    }
}

/// The same at the beginning of a sentence.
pub const fn way_command(way: Way) -> Text {
    match way {
        Way::Leave => text!("Leave it"),
        Way::Lengthen => text!("Make the rod longer"),
        Way::Shorten => text!("Make the rod shorter"),
        Way::AddShims => text!("Add shims"),
        Way::RemoveShims => text!("Take shims out"),
        Way::MarkTowardsPlus => text!("Turn the mark towards its + side"),
        Way::MarkTowardsMinus => text!("Turn the mark towards its − side"),
        Way::TopOut => text!("Move the top of the knuckle out"),
        Way::TopIn => text!("Move the top of the knuckle in"),
        Way::OwnPlus => text!("Move it the way you count +"),
        Way::OwnMinus => text!("Move it the way you count −"),
    }
}

/// What is taken hold of.
pub const fn knob_words(knob: Knob) -> Text {
    match knob {
        Knob::Rod => text!("tie rod"),
        Knob::FrontBolt => text!("front bolt of the upper arm"),
        Knob::RearBolt => text!("rear bolt of the upper arm"),
        Knob::Cam => text!("eccentric"),
        Knob::Plate => text!("tapered plate behind the hub"),
        Knob::StrutBolt => text!("bolt between strut and knuckle"),
        Knob::Own => text!("your own adjuster"),
    }
}

/// What it is counted in.
pub const fn unit_words(unit: Unit) -> Text {
    match unit {
        Unit::Turn => text!("turns"),
        Unit::Millimetre => text!("mm"),
        Unit::CamDegree => text!("degrees of the eccentric"),
        Unit::Own => text!("your own unit"),
    }
}

/// Where an adjuster sits.
pub const fn place_words(place: Place) -> Text {
    match place {
        Place::TieRod => text!("at the tie rod"),
        Place::ControlArm => text!("at the inner end of a control arm"),
        Place::StrutTop => text!("at the top of the strut"),
        Place::StrutToKnuckle => text!("between strut and knuckle"),
        Place::HubFace => text!("behind the hub"),
        Place::RearLink => text!("at a link of the rear axle"),
        Place::Unknown => text!("somewhere not named"),
    }
}

/// A figure that goes along with a change.
pub const fn figure_words(figure: Figure) -> Text {
    match figure {
        Figure::Camber => text!("camber"),
        Figure::Caster => text!("caster"),
        Figure::Toe => text!("toe"),
        Figure::Sai => text!("steering axis inclination"),
        Figure::IncludedAngle => text!("included angle"),
        Figure::Thrust => text!("thrust line"),
        Figure::SteeringWheel => text!("straight steering wheel"),
        Figure::Turning => text!("lock and toe-out on turns"),
    }
}

/// How it goes along.
pub const fn how_words(how: How) -> Text {
    match how {
        How::Stays => text!("stays"),
        How::WithIt => text!("changes as much, the same way"),
        How::AgainstIt => text!("changes as much, the other way"),
        How::ByHalf => text!("changes by half as much"),
        How::ALittle => text!("changes a little; look at it at the end"),
        How::MeasureAgain => text!("changes; measure it again"),
    }
}

/// A wheel.
pub const fn corner_words(corner: Corner) -> Text {
    match (corner.axle, corner.side) {
        (Axle::Front, Side::Left) => text!("front left"),
        (Axle::Front, Side::Right) => text!("front right"),
        (Axle::Rear, Side::Left) => text!("rear left"),
        (Axle::Rear, Side::Right) => text!("rear right"),
    }
}

/// What to do at a step.
pub fn step_words(kind: StepKind) -> Text {
    match kind {
        StepKind::RuleOutWear => text!(
            "Look for worn joints and loose bearings, and check ride height, load and tyre pressures."
        ),
        StepKind::HoldSteeringWheel => text!(
            "Set the steering wheel straight and hold it there, with a holder that cannot slip."
        ),
        StepKind::Set {
            corner,
            angle,
            place,
        } => text!(
            "Set {corner} {angle}, {place}.",
            corner = corner_words(corner),
            angle = wheel_angle_words(angle),
            place = place_words(place)
        ),
        StepKind::CheckToe(Axle::Rear) => {
            text!("Measure rear toe again and set it on both sides.")
        }
        StepKind::CheckToe(Axle::Front) => {
            text!("Measure front toe again and set it on both sides.")
        }
        StepKind::FindCause { corner, angle } => text!(
            "Find out why {corner} {angle} is off: nothing adjusts it on this car.",
            corner = corner_words(corner),
            angle = wheel_angle_words(angle)
        ),
        StepKind::Lock => text!(
            "Tighten and lock everything that was loosened, with the suspension at ride height where the maker wants it so."
        ),
        StepKind::Settle => {
            text!("Let the suspension settle: bounce each end, or roll the car forward and back.")
        }
        StepKind::MeasureAgain => text!("Measure all angles again."),
        StepKind::ResetSteeringSensor => {
            text!("Set the zero of the steering angle sensor anew, if the car has one.")
        }
    }
}

/// Why a step is there.
pub const fn reason_words(reason: Reason) -> Text {
    match reason {
        Reason::WornPartsFirst => {
            text!("What is worn, low or soft cannot be adjusted away, and moves again on the road.")
        }
        Reason::RearMakesThrust => {
            text!("The rear wheels decide where the car runs; the front is set to that.")
        }
        Reason::CasterFirst => text!("Caster takes camber and toe along, so it goes first."),
        Reason::CamberBeforeToe => text!("Camber takes toe along, so it goes before toe."),
        Reason::ToeLast => text!("Everything else moves toe, and toe hardly moves anything else."),
        Reason::StraightWheel => {
            text!("Front toe is shared between the wheels from the straight steering wheel.")
        }
        Reason::MovedByEarlierStep => text!("An earlier step has moved it."),
        Reason::NothingAdjustsIt => {
            text!(
                "An angle that cannot be adjusted is off because something is worn, shifted or bent."
            )
        }
        Reason::LoosenedFasteners => text!("What was loosened has to hold on the road."),
        Reason::WoundUp => {
            text!("After jacking or adjusting the tyres hold the suspension wound up.")
        }
        Reason::ShowWhatWasReached => text!("Only a new measurement shows what was reached."),
        Reason::OldStraightAhead => {
            text!("Stability control still knows the old straight-ahead and may brake for it.")
        }
    }
}

/// What to mind.
pub const fn caution_words(caution: Caution) -> Text {
    match caution {
        Caution::StandsNotJack => {
            text!(
                "Put the car on rated stands at the maker's lifting points, on hard level ground. Never reach or lie under a car that stands on a jack alone."
            )
        }
        Caution::ChockWheels => {
            text!("Chock the wheels that stay on the ground, on both sides of the tyre.")
        }
        Caution::MakersTorque => {
            text!(
                "Tighten steering and suspension fasteners to the vehicle maker's torque value, with a torque wrench. If you do not have the value, get it before you drive."
            )
        }
        Caution::NewLocknuts => {
            text!(
                "Use new locknuts, bolts and split pins where the maker says so; many may be used only once."
            )
        }
        Caution::ThreadEngaged => {
            text!(
                "See that enough thread is engaged, as the maker gives it, on both ends of the rod."
            )
        }
        Caution::LockBeforeDriving => {
            text!(
                "Lock what you set before the car is moved on a road, and check steering and brakes before driving."
            )
        }
        Caution::HandsClear => {
            text!(
                "Keep hands clear of springs, arms and linkage while the car or the steering moves."
            )
        }
        Caution::LicensedPractice => {
            text!(
                "Damage by an accident is work for people who may judge and repair it where you live; do not drive before."
            )
        }
        Caution::NeverHeatOrBend => {
            text!("Never heat or bend a steering or suspension part straight: replace it.")
        }
        Caution::MakersSensorProcedure => {
            text!(
                "Follow the maker's procedure for stability control and driving assistance; they may need a workshop's equipment."
            )
        }
    }
}

/// How near the target is.
pub const fn target_words(state: TargetState) -> Text {
    match state {
        TargetState::Far => text!("go on"),
        TargetState::Near => text!("slowly now"),
        TargetState::At => text!("there: stop"),
        TargetState::Past => text!("past it: go back"),
    }
}

/// Which way the angle has to go, in the words of its sign.
pub const fn turn_words(angle: WheelAngle, turn: Turn) -> Text {
    match (angle, turn) {
        (_, Turn::Stop) => text!("leave it"),
        (WheelAngle::Camber, Turn::More) => text!(in "command"; "top out"),
        (WheelAngle::Camber, Turn::Less) => text!(in "command"; "top in"),
        (WheelAngle::Caster, Turn::More) => text!(in "command"; "lean back"),
        (WheelAngle::Caster, Turn::Less) => text!(in "command"; "lean forward"),
        (WheelAngle::Toe, Turn::More) => text!(in "command"; "toe in"),
        (WheelAngle::Toe, Turn::Less) => text!(in "command"; "toe out"),
    }
}

/// How a move contradicts the geometry: what it means and what to do.
pub const fn contradiction_words(kind: ContradictionKind) -> [Text; 2] {
    match kind {
        ContradictionKind::WrongWay => [
            text!("It went the other way."),
            text!(
                "Either it was turned the wrong way, or the adjuster works the other way round on this car. Turn it back to where it was, measure, and try a small move."
            ),
        ],
        ContradictionKind::NothingMoved => [
            text!("Nothing moved."),
            text!(
                "The adjuster slipped, is still locked, or the tyres hold the suspension. See that it is free, settle the car and measure again."
            ),
        ],
        ContradictionKind::TooLittle => [
            text!("It moved less than it should."),
            text!(
                "The tyres may hold the suspension, or a dimension is not as entered. Settle the car and measure again; if it stays so, let the moves tell the effect."
            ),
        ],
        ContradictionKind::TooMuch => [
            text!("It moved more than it should."),
            text!(
                "Something is loose or has shifted, or a dimension is not as entered. Look for loose fasteners and play before going on."
            ),
        ],
        ContradictionKind::ShouldHaveStayed => [
            text!("An angle moved that should have stayed."),
            text!(
                "Something else has shifted, or a board has slipped. Look for loose fasteners and at the straps, and measure again."
            ),
        ],
    }
}

/// A dimension of an adjuster.
pub const fn dimension_words(dimension: Dimension) -> Text {
    match dimension {
        Dimension::Pitch => text!("thread pitch"),
        Dimension::SteeringArm => text!("length of the steering arm"),
        Dimension::JointHeight => text!("height from lower to upper joint"),
        Dimension::BoltSpacing => text!("spacing of the bolts"),
        Dimension::ControlArm => text!("length of the control arm"),
        Dimension::Throw => text!("throw of the eccentric"),
        Dimension::Lever => text!("lever of the adjuster"),
        Dimension::PlateDiameter => text!("diameter of the plate"),
        Dimension::Shim => text!("thickness of a shim"),
        Dimension::MarkSpacing => text!("spacing of the marks"),
    }
}

#[cfg(test)]
mod tests;
#[cfg(test)]
pub(in crate::present) use tests::assert_words;
