//! Angles set by an eccentric bolt.

use std::f64::consts::PI;

use super::change::{Change, PerUnit, Way, WheelAngle};
use super::refusal::{AdjustError, Dimension, positive, sets_only};
use crate::angle::Angle;

/// An eccentric on an arm or at a strut. Its unit is a degree of the cam.
///
/// The mark stands at 0 where it points along the slot's cheeks and shifts
/// nothing; its + side is the one that makes the angle larger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eccentric {
    /// The angle it is there to set.
    pub sets: WheelAngle,
    /// From the bolt's axis to the middle of the cam, mm.
    pub throw_mm: f64,
    /// From the cam to the joint about which the knuckle tilts, mm.
    pub lever_mm: f64,
    /// Where the mark stands now.
    pub mark: Angle,
    /// Turn from one line of its scale to the next, where it has a scale.
    pub mark_spacing: Option<Angle>,
}

/// How to turn an eccentric.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CamAdvice {
    /// Towards the + or the − side.
    pub way: Way,
    /// By how much, never negative.
    pub turn: Angle,
    /// Where the mark then stands.
    pub mark: Angle,
    /// The turn counted in lines of the scale.
    pub marks: Option<f64>,
    /// What is still wanted after the nearest whole line.
    pub left_over: Option<Angle>,
    /// Shift at the cam, mm, signed.
    pub shift_mm: f64,
}

impl Eccentric {
    fn angle_per_mm(&self) -> Result<f64, AdjustError> {
        Ok(1.0 / positive(Dimension::Lever, self.lever_mm)?)
    }

    fn shift_mm(&self, mark: Angle) -> Result<f64, AdjustError> {
        Ok(positive(Dimension::Throw, self.throw_mm)? * mark.sin())
    }

    /// What the next degree of the cam does: e cos β over the lever, so nothing at
    /// the end of the throw (derived).
    pub fn effect(&self) -> Result<PerUnit, AdjustError> {
        let throw = positive(Dimension::Throw, self.throw_mm)?;
        let per_rad = throw * self.mark.cos() * self.angle_per_mm()?;
        Ok(PerUnit::mainly(self.sets, Angle::from_deg(per_rad)))
    }

    /// How to turn it for a change of its angle.
    pub fn advise(&self, wanted: &Change) -> Result<CamAdvice, AdjustError> {
        sets_only(wanted, &[self.sets])?;
        if !self.mark.rad().is_finite() {
            return Err(AdjustError::NotFinite);
        }
        let angle = wanted.of(self.sets).rad();
        let present = self.shift_mm(self.mark)?;
        let per_mm = self.angle_per_mm()?;
        let needed_mm = angle / per_mm;
        let sine = (present + needed_mm) / self.throw_mm;
        if sine.abs() > 1.0 + 1e-12 {
            return Err(AdjustError::BeyondReach {
                needed: needed_mm,
                reach: needed_mm.signum() * self.throw_mm - present,
            });
        }
        // Two marks shift alike; the nearer one is meant.
        let near = Angle::from_rad(sine.clamp(-1.0, 1.0).asin());
        let far = Angle::from_rad(PI) - near;
        let turned = |to: Angle| (to - self.mark).wrapped();
        let (mark, turn) = if turned(near).abs() <= turned(far).abs() {
            (near, turned(near))
        } else {
            (far.wrapped(), turned(far))
        };
        let mut marks = None;
        let mut left_over = None;
        if let Some(spacing) = self.mark_spacing {
            let step_deg = positive(Dimension::MarkSpacing, spacing.deg())?;
            let count = turn.deg() / step_deg;
            let stopped = self.mark + spacing * count.round();
            let made = (self.shift_mm(stopped)? - present) * per_mm;
            marks = Some(count.abs());
            left_over = Some(Angle::from_rad(angle - made));
        }
        Ok(CamAdvice {
            way: Way::by_sign(turn.rad(), Way::MarkTowardsPlus, Way::MarkTowardsMinus),
            turn: turn.abs(),
            mark,
            marks,
            left_over,
            shift_mm: needed_mm,
        })
    }

    /// The effect of the whole throw to the + side from here.
    pub fn reach(&self) -> Result<Angle, AdjustError> {
        let left = self.throw_mm - self.shift_mm(self.mark)?;
        Ok(Angle::from_rad(left * self.angle_per_mm()?))
    }
}
