//! Camber and caster by shims at the two bolts of an upper arm.

use nalgebra::{Matrix2, Vector2};

use super::change::{Change, Effect, PerUnit, Way, WheelAngle};
use super::refusal::{AdjustError, Dimension, positive, sets_only};
use super::stock::ShimStock;
use crate::angle::Angle;

/// Effects of the two bolts nearer in direction than this do not part camber
/// from caster: shims thicker than any pack would come out.
const APART_AT_LEAST_DEG: f64 = 5.0;

/// On which side of the frame's bracket the arm sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BracketSide {
    /// A shim moves the arm out.
    ShimMovesOut,
    /// A shim moves the arm in.
    ShimMovesIn,
}

/// An upper arm on a shaft with two bolts, its ball joint halfway between them
/// in effect; any other needs a measured [`BoltPair`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UpperArm {
    /// From lower to upper ball joint, mm.
    pub height_mm: f64,
    /// From bolt to bolt along the car, mm.
    pub spacing_mm: f64,
    /// From the shaft to the ball joint, mm.
    pub arm_mm: f64,
    /// Where it sits.
    pub bracket: BracketSide,
}

impl UpperArm {
    /// What each bolt does: `Δcamber = (f + r) / 2L`, `Δcaster = −(r − f) (a/b) / L`,
    /// *f* and *r* being the outward moves of the two ends (derived; the signs are those
    /// of Goodheart-Willcox, Auto Suspension and Steering, 2021, pp. 380 and 381).
    pub fn pair(&self) -> Result<BoltPair, AdjustError> {
        let height = positive(Dimension::JointHeight, self.height_mm)?;
        let spacing = positive(Dimension::BoltSpacing, self.spacing_mm)?;
        let arm = positive(Dimension::ControlArm, self.arm_mm)?;
        let outward = match self.bracket {
            BracketSide::ShimMovesOut => 1.0,
            BracketSide::ShimMovesIn => -1.0,
        };
        let camber = outward / (2.0 * height);
        let caster = outward * arm / spacing / height;
        BoltPair::from_per_mm(Matrix2::new(camber, camber, caster, -caster))
    }
}

/// What a millimetre of shim at each of two bolts does to camber and caster.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltPair {
    per_mm: Matrix2<f64>,
}

/// What is in now, and what the bolts take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PackLimits {
    /// Pack at the front and at the rear bolt now, mm.
    pub present_mm: [f64; 2],
    /// The thickest pack a bolt takes, as the maker states it, mm.
    pub most_mm: Option<f64>,
}

/// What to do at one bolt.
#[derive(Debug, Clone, PartialEq)]
pub struct PackAdvice {
    /// Add or remove.
    pub way: Way,
    /// Change that would be exact, mm, signed.
    pub exact_mm: f64,
    /// Change that the stock allows, mm, signed.
    pub change_mm: f64,
    /// The pack after it, mm.
    pub pack_mm: f64,
    /// The shims to add, or those to make the pack anew of, thickest first, mm.
    /// Nothing when no stock is known.
    pub pieces_mm: Vec<f64>,
}

/// What to do at both bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct ShimAdvice {
    /// At the front bolt.
    pub front: PackAdvice,
    /// At the rear bolt.
    pub rear: PackAdvice,
    /// Camber and caster still wanted after it.
    pub left_over: Change,
}

impl BoltPair {
    /// From what a shim of `thickness_mm` at the front and at the rear bolt was
    /// seen, or is printed, to do.
    pub fn measured(
        thickness_mm: f64,
        at_front: &Change,
        at_rear: &Change,
    ) -> Result<Self, AdjustError> {
        let thickness = positive(Dimension::Shim, thickness_mm)?;
        let column = |c: &Change| Vector2::new(c.camber.rad(), c.caster.rad()) / thickness;
        Self::from_per_mm(Matrix2::from_columns(&[column(at_front), column(at_rear)]))
    }

    /// From rad per mm: camber and caster in the rows, front and rear bolt in the columns.
    pub fn from_per_mm(per_mm: Matrix2<f64>) -> Result<Self, AdjustError> {
        if per_mm.iter().any(|v| !v.is_finite()) {
            return Err(AdjustError::NotFinite);
        }
        let size = per_mm.column(0).norm() * per_mm.column(1).norm();
        let sine = if size > 0.0 {
            (per_mm.determinant() / size).abs().min(1.0)
        } else {
            0.0
        };
        let apart_deg = Angle::from_rad(sine.asin()).deg();
        if apart_deg < APART_AT_LEAST_DEG {
            return Err(AdjustError::NotSeparable { apart_deg });
        }
        Ok(Self { per_mm })
    }

    /// Rad per mm: camber and caster in the rows, front and rear bolt in the columns.
    pub const fn per_mm(&self) -> &Matrix2<f64> {
        &self.per_mm
    }

    /// What a millimetre at the front, or at the rear bolt, does. Toe changes with
    /// camber by where the steering arm is, see [`super::toe_from_camber`].
    pub fn effect(&self, at_front: bool) -> PerUnit {
        let column = self.per_mm.column(usize::from(!at_front));
        PerUnit {
            camber: Effect::Known(Angle::from_rad(column[0])),
            caster: Effect::Known(Angle::from_rad(column[1])),
            toe: Effect::MeasureAgain,
        }
    }

    /// What shims at front and rear, mm, change.
    pub fn changed(&self, shims_mm: [f64; 2]) -> Change {
        let change = self.per_mm * Vector2::from(shims_mm);
        Change {
            camber: Angle::from_rad(change[0]),
            caster: Angle::from_rad(change[1]),
            toe: Angle::ZERO,
        }
    }

    /// Shims at front and rear, mm, signed, for a change of camber and caster.
    pub fn shims_for(&self, wanted: &Change) -> Result<[f64; 2], AdjustError> {
        sets_only(wanted, &[WheelAngle::Camber, WheelAngle::Caster])?;
        let change = Vector2::new(wanted.camber.rad(), wanted.caster.rad());
        let inverse = self
            .per_mm
            .try_inverse()
            .ok_or(AdjustError::NotSeparable { apart_deg: 0.0 })?;
        Ok((inverse * change).into())
    }

    /// What to add and take out, of the stock if one is known.
    pub fn advise(
        &self,
        wanted: &Change,
        limits: &PackLimits,
        stock: Option<&ShimStock>,
    ) -> Result<ShimAdvice, AdjustError> {
        let exact = self.shims_for(wanted)?;
        let front = pack(true, exact[0], limits, stock)?;
        let rear = pack(false, exact[1], limits, stock)?;
        let made = self.changed([front.change_mm, rear.change_mm]);
        Ok(ShimAdvice {
            front,
            rear,
            left_over: Change {
                camber: wanted.camber - made.camber,
                caster: wanted.caster - made.caster,
                toe: Angle::ZERO,
            },
        })
    }
}

fn pack(
    at_front: bool,
    exact_mm: f64,
    limits: &PackLimits,
    stock: Option<&ShimStock>,
) -> Result<PackAdvice, AdjustError> {
    /// Less is not felt under a bolt, and comes of rounding.
    const NOTHING_MM: f64 = 1e-9;
    let present_mm = limits.present_mm[usize::from(!at_front)];
    if !present_mm.is_finite() || present_mm < 0.0 {
        return Err(AdjustError::Dimension {
            dimension: Dimension::Shim,
            found: present_mm,
        });
    }
    if present_mm + exact_mm < -NOTHING_MM {
        return Err(AdjustError::NegativePack {
            at_front,
            present_mm,
            change_mm: exact_mm,
        });
    }
    let (change_mm, pieces_mm) = match stock {
        None => (exact_mm, Vec::new()),
        Some(stock) if exact_mm > 0.0 => {
            let added = stock.nearest(exact_mm);
            (added.total_mm, added.pieces_mm)
        }
        Some(_) if exact_mm.abs() <= NOTHING_MM => (0.0, Vec::new()),
        Some(stock) => {
            let made_anew = stock.nearest(present_mm + exact_mm);
            (made_anew.total_mm - present_mm, made_anew.pieces_mm)
        }
    };
    let wanted_mm = present_mm + change_mm;
    if let Some(most_mm) = limits.most_mm.filter(|most| wanted_mm > most + NOTHING_MM) {
        return Err(AdjustError::PackTooThick {
            at_front,
            wanted_mm,
            most_mm,
        });
    }
    Ok(PackAdvice {
        way: Way::by_sign(change_mm, Way::AddShims, Way::RemoveShims),
        exact_mm,
        change_mm,
        pack_mm: wanted_mm,
        pieces_mm,
    })
}
