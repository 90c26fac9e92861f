//! From a wanted change of an angle to turns, flats, shims and marks.
//!
//! Signs are the workshop's, alike on both sides: camber + top out, caster +
//! top rearward, toe + toe-in. Formulas of [`TieRod`], [`UpperArm`],
//! [`Eccentric`] and [`PlateShim`] are plane geometry of small changes; where a
//! part does not follow them, [`Learner`] finds from the moves what it does.

mod adjuster;
mod amount;
mod change;
mod eccentric;
mod effects;
mod learn;
mod plan;
mod plate;
mod refusal;
mod shims;
mod stock;
mod target;
mod tie_rod;

pub use adjuster::{Adjuster, Advice, Knob, KnobEffect, Place, Unit};
pub use amount::{Amount, Named, StrutSlot};
pub use change::{Change, Effect, PerUnit, Way, WheelAngle};
pub use eccentric::{CamAdvice, Eccentric};
pub use effects::{CrossEffect, Figure, How, cross_effects, toe_from_camber};
pub use learn::{Contradiction, ContradictionKind, LearnError, Learner, Move, Prediction};
pub use plan::{
    Available, Axle, Caution, Corner, Deviation, Plan, Reason, Step, StepKind, work_plan,
};
pub use plate::{PlateAdvice, PlateShim};
pub use refusal::{AdjustError, Dimension};
pub use shims::{BoltPair, BracketSide, PackAdvice, PackLimits, ShimAdvice, UpperArm};
pub use stock::{PIECES_AT_MOST, Pack, ShimStock, THICKNESSES_AT_MOST};
pub use target::{Seen, TargetState, TargetWatch, Turn};
pub use tie_rod::{
    AxleToe, FLATS_PER_TURN, RodPlace, Thread, TieRod, TurnAdvice, both_sides, straight_ahead,
};
