//! In which order to work.

use super::adjuster::Place;
use super::change::WheelAngle;
use crate::estimate::Estimate;
use crate::side::Side;

/// Front or rear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Axle {
    /// The rear axle, which is set first.
    Rear,
    /// The front axle.
    Front,
}

/// One wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Corner {
    /// Axle.
    pub axle: Axle,
    /// Side.
    pub side: Side,
}

/// A change that is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// At which wheel.
    pub corner: Corner,
    /// Of which angle.
    pub angle: WheelAngle,
    /// Target less finding, with the uncertainty of the finding.
    pub wanted: Estimate,
}

/// An adjuster that is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Available {
    /// At which wheel.
    pub corner: Corner,
    /// Which angle it sets.
    pub sets: WheelAngle,
    /// Where it sits.
    pub place: Place,
}

/// One thing to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepKind {
    /// Look for worn joints, and at ride height and tyre pressures.
    RuleOutWear,
    /// Hold the steering wheel straight.
    HoldSteeringWheel,
    /// Set an angle.
    Set {
        /// At which wheel.
        corner: Corner,
        /// Which angle.
        angle: WheelAngle,
        /// Where its adjuster sits.
        place: Place,
    },
    /// Measure toe of an axle again, since something moved it, and set it.
    CheckToe(Axle),
    /// Find out why an angle is off that nothing adjusts.
    FindCause {
        /// At which wheel.
        corner: Corner,
        /// Which angle.
        angle: WheelAngle,
    },
    /// Tighten and lock what was loosened.
    Lock,
    /// Bounce the car or roll it, so that the suspension settles.
    Settle,
    /// Measure all angles again.
    MeasureAgain,
    /// Set the zero of the steering angle sensor anew, where the car has one.
    ResetSteeringSensor,
}

/// Why a step is there, and there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reason {
    /// What is worn or low cannot be adjusted away.
    WornPartsFirst,
    /// The rear wheels make the thrust line that the front is set to.
    RearMakesThrust,
    /// Caster takes camber and toe along, so it goes before them.
    CasterFirst,
    /// Camber takes toe along, so it goes before it.
    CamberBeforeToe,
    /// Everything else moves toe; it moves nothing else by much.
    ToeLast,
    /// Front toe is halved between the wheels from the straight steering wheel.
    StraightWheel,
    /// An earlier step moved it.
    MovedByEarlierStep,
    /// Nothing adjusts it, so something is bent, worn or shifted.
    NothingAdjustsIt,
    /// What was loosened must hold.
    LoosenedFasteners,
    /// A jacked or adjusted suspension stands wound up on its tyres.
    WoundUp,
    /// Only a new measurement shows what was reached.
    ShowWhatWasReached,
    /// The car's stability control knows the old straight-ahead.
    OldStraightAhead,
}

impl Reason {
    /// All of them.
    pub const ALL: [Self; 12] = [
        Self::WornPartsFirst,
        Self::RearMakesThrust,
        Self::CasterFirst,
        Self::CamberBeforeToe,
        Self::ToeLast,
        Self::StraightWheel,
        Self::MovedByEarlierStep,
        Self::NothingAdjustsIt,
        Self::LoosenedFasteners,
        Self::WoundUp,
        Self::ShowWhatWasReached,
        Self::OldStraightAhead,
    ];
}

/// What to mind at a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Caution {
    /// Stands on hard level ground, never under a car on a jack alone.
    StandsNotJack,
    /// Wheels that stay on the ground chocked.
    ChockWheels,
    /// Steering and suspension fasteners to the maker's torque value.
    MakersTorque,
    /// New locknuts and bolts where the maker says so.
    NewLocknuts,
    /// Enough thread engaged after the setting.
    ThreadEngaged,
    /// Locked before the car is moved on the road.
    LockBeforeDriving,
    /// Fingers out of the springs, arms and linkage while it settles.
    HandsClear,
    /// Damage by an accident is for licensed practice.
    LicensedPractice,
    /// No part heated or bent.
    NeverHeatOrBend,
    /// Stability control and assistance only by the maker's procedure.
    MakersSensorProcedure,
}

impl Caution {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::StandsNotJack,
        Self::ChockWheels,
        Self::MakersTorque,
        Self::NewLocknuts,
        Self::ThreadEngaged,
        Self::LockBeforeDriving,
        Self::HandsClear,
        Self::LicensedPractice,
        Self::NeverHeatOrBend,
        Self::MakersSensorProcedure,
    ];
}

/// A step with its reason and what to mind.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What to do.
    pub kind: StepKind,
    /// Why now.
    pub reason: Reason,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

/// The steps in their order.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What to do.
    pub steps: Vec<Step>,
    /// Deviations within their own 95 % interval: nothing is known to be off there.
    pub left_alone: Vec<Deviation>,
}

/// The order of work for these deviations with these adjusters: wear and height
/// first, rear before front, caster, camber, toe (common practice; the reasons are
/// in [`super::cross_effects`]). Nothing off, nothing to do: the plan is then empty.
pub fn work_plan(deviations: &[Deviation], available: &[Available]) -> Plan {
    let (mut off, left_alone): (Vec<Deviation>, Vec<Deviation>) = deviations
        .iter()
        .copied()
        .partition(|d| d.wanted.value.abs() > d.wanted.expanded());
    off.sort_by_key(|d| (d.corner.axle, d.angle, d.corner.side));
    let mut steps = Vec::new();
    if off.is_empty() {
        return Plan { steps, left_alone };
    }
    steps.push(step(StepKind::RuleOutWear));
    let mut any_set = false;
    let mut thrust_moved = false;
    for axle in [Axle::Rear, Axle::Front] {
        let mut toe_moved = axle == Axle::Front && thrust_moved;
        let mut toe_begun = false;
        for d in off.iter().filter(|d| d.corner.axle == axle) {
            let found = available
                .iter()
                .find(|a| a.corner == d.corner && a.sets == d.angle);
            let Some(adjuster) = found else {
                steps.push(step(StepKind::FindCause {
                    corner: d.corner,
                    angle: d.angle,
                }));
                continue;
            };
            let is_toe = d.angle == WheelAngle::Toe;
            if is_toe && !toe_begun {
                toe_begun = true;
                begin_toe(axle, toe_moved, &mut steps);
            }
            steps.push(step(StepKind::Set {
                corner: d.corner,
                angle: d.angle,
                place: adjuster.place,
            }));
            any_set = true;
            thrust_moved |= axle == Axle::Rear;
            toe_moved |= !is_toe;
        }
        if toe_moved && !toe_begun {
            begin_toe(axle, true, &mut steps);
        }
    }
    if any_set {
        let last = [StepKind::Lock, StepKind::Settle, StepKind::MeasureAgain];
        steps.extend(last.map(step));
        steps.push(step(StepKind::ResetSteeringSensor));
    }
    Plan { steps, left_alone }
}

fn begin_toe(axle: Axle, moved: bool, steps: &mut Vec<Step>) {
    if axle == Axle::Front {
        steps.push(step(StepKind::HoldSteeringWheel));
    }
    if moved {
        steps.push(step(StepKind::CheckToe(axle)));
    }
}

fn step(kind: StepKind) -> Step {
    use Caution as C;
    let lifting = [C::StandsNotJack, C::ChockWheels];
    let setting = [C::MakersTorque, C::NewLocknuts, C::LockBeforeDriving];
    let (reason, cautions) = match kind {
        StepKind::RuleOutWear => (Reason::WornPartsFirst, lifting.to_vec()),
        StepKind::HoldSteeringWheel => (Reason::StraightWheel, vec![C::HandsClear]),
        StepKind::Set { corner, angle, .. } => {
            let reason = match (corner.axle, angle) {
                (Axle::Rear, _) => Reason::RearMakesThrust,
                (Axle::Front, WheelAngle::Caster) => Reason::CasterFirst,
                (Axle::Front, WheelAngle::Camber) => Reason::CamberBeforeToe,
                (Axle::Front, WheelAngle::Toe) => Reason::ToeLast,
            };
            let mut cautions = [lifting.as_slice(), &setting].concat();
            if angle == WheelAngle::Toe {
                cautions.push(C::ThreadEngaged);
            }
            cautions.push(C::NeverHeatOrBend);
            (reason, cautions)
        }
        StepKind::CheckToe(_) => (Reason::MovedByEarlierStep, setting.to_vec()),
        StepKind::FindCause { .. } => (
            Reason::NothingAdjustsIt,
            vec![C::LicensedPractice, C::NeverHeatOrBend, C::StandsNotJack],
        ),
        StepKind::Lock => (Reason::LoosenedFasteners, setting.to_vec()),
        StepKind::Settle => (Reason::WoundUp, vec![C::HandsClear, C::LockBeforeDriving]),
        StepKind::MeasureAgain => (Reason::ShowWhatWasReached, vec![C::ChockWheels]),
        StepKind::ResetSteeringSensor => (Reason::OldStraightAhead, vec![C::MakersSensorProcedure]),
    };
    Step {
        kind,
        reason,
        cautions,
    }
}
