//! Toe by turning tie rods.

use super::change::{Change, Effect, PerUnit, Way, WheelAngle};
use super::refusal::{AdjustError, Dimension, positive, sets_only};
use crate::angle::Angle;

/// Flats of a hexagon.
pub const FLATS_PER_TURN: f64 = 6.0;

/// Where the rod's outer end is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RodPlace {
    /// Behind the axle: a longer rod is toe-in (workshop manual of General Motors, 1983).
    BehindAxle,
    /// Ahead of the axle: a shorter rod is toe-in (the same).
    AheadOfAxle,
}

impl RodPlace {
    /// Sign of toe-in for a longer rod.
    pub(super) const fn sign(self) -> f64 {
        match self {
            Self::BehindAxle => 1.0,
            Self::AheadOfAxle => -1.0,
        }
    }
}

/// How the rod is threaded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Thread {
    /// One thread: a turn is one pitch.
    Single,
    /// A sleeve with a left and a right thread: a turn is two pitches.
    LeftRightSleeve,
}

/// A tie rod. Its unit is a turn, + lengthening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TieRod {
    /// Thread pitch, mm.
    pub pitch_mm: f64,
    /// From the steering axis to the rod, square to the rod, mm.
    pub arm_mm: f64,
    /// Where it is.
    pub place: RodPlace,
    /// How it is threaded.
    pub thread: Thread,
    /// Turns it may be lengthened before the thread engages too little, as the
    /// owner states from the maker's data.
    pub may_lengthen_turns: Option<f64>,
    /// Turns it may be shortened.
    pub may_shorten_turns: Option<f64>,
}

/// What to turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnAdvice {
    /// Longer or shorter.
    pub way: Way,
    /// Turns, never negative.
    pub turns: f64,
    /// The same in flats of a hexagon.
    pub flats: f64,
    /// The nearest whole number of flats.
    pub whole_flats: f64,
    /// Toe still wanted after that many whole flats.
    pub left_over: Angle,
    /// By how much the rod gets longer, mm, signed.
    pub longer_mm: f64,
}

impl TieRod {
    /// Length gained by a turn, mm.
    fn lead_mm(&self) -> Result<f64, AdjustError> {
        let pitch = positive(Dimension::Pitch, self.pitch_mm)?;
        Ok(match self.thread {
            Thread::Single => pitch,
            Thread::LeftRightSleeve => 2.0 * pitch,
        })
    }

    /// Toe per turn of lengthening: lead over arm (derived; the arm's turning
    /// away from square is of second order).
    pub fn toe_per_turn(&self) -> Result<Angle, AdjustError> {
        let arm = positive(Dimension::SteeringArm, self.arm_mm)?;
        Ok(Angle::from_rad(self.place.sign() * self.lead_mm()? / arm))
    }

    /// What a turn does. The steering axis stands still, so caster stays; camber
    /// goes by −tan caster per toe (derived from the constancy of the angle
    /// between spindle and steering axis), known if the caster is.
    pub fn effect(&self, caster: Option<Angle>) -> Result<PerUnit, AdjustError> {
        let toe = self.toe_per_turn()?;
        let camber = caster.map_or(Effect::MeasureAgain, |caster| {
            Effect::Known(toe * -caster.tan())
        });
        Ok(PerUnit {
            camber,
            caster: Effect::NONE,
            toe: Effect::Known(toe),
        })
    }

    /// What to turn for a change of toe.
    pub fn advise(&self, wanted: &Change) -> Result<TurnAdvice, AdjustError> {
        sets_only(wanted, &[WheelAngle::Toe])?;
        let per_turn = self.toe_per_turn()?;
        let turns = wanted.toe.rad() / per_turn.rad();
        let left = if turns > 0.0 {
            self.may_lengthen_turns
        } else {
            self.may_shorten_turns
        };
        if let Some(left_turns) = left.filter(|left| turns.abs() > *left) {
            return Err(AdjustError::BeyondThread {
                needed_turns: turns,
                left_turns,
            });
        }
        let whole_flats = (turns.abs() * FLATS_PER_TURN).round();
        let made = per_turn * (turns.signum() * whole_flats / FLATS_PER_TURN);
        Ok(TurnAdvice {
            way: Way::by_sign(turns, Way::Lengthen, Way::Shorten),
            turns: turns.abs(),
            flats: turns.abs() * FLATS_PER_TURN,
            whole_flats,
            left_over: wanted.toe - made,
            longer_mm: turns * self.lead_mm()?,
        })
    }
}

/// Both rods of an axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleToe {
    /// The left rod.
    pub left: TurnAdvice,
    /// The right rod.
    pub right: TurnAdvice,
    /// By how much the left rod grows more than the right one, mm. Makers limit
    /// how unlike the rods may be; one manual says 5 mm.
    pub difference_mm: f64,
}

/// What to turn on each side for these changes of toe, left and right.
pub fn both_sides(
    left: &TieRod,
    right: &TieRod,
    wanted: [Angle; 2],
) -> Result<AxleToe, AdjustError> {
    let left = left.advise(&Change::only(WheelAngle::Toe, wanted[0]))?;
    let right = right.advise(&Change::only(WheelAngle::Toe, wanted[1]))?;
    Ok(AxleToe {
        left,
        right,
        difference_mm: left.longer_mm - right.longer_mm,
    })
}

/// Changes of front toe, left and right, to reach `total` toe with the steering
/// wheel straight while the car runs along its thrust line.
///
/// `toe_now` is against the car's centreline with the steering wheel held
/// straight; `thrust` is + to the right. Straight is where both front wheels
/// have half the total against the thrust line (derived).
pub fn straight_ahead(toe_now: [Angle; 2], total: Angle, thrust: Angle) -> [Angle; 2] {
    let half = total / 2.0;
    [half + thrust - toe_now[0], half - thrust - toe_now[1]]
}
