//! Total toe by a bar that is carried from behind an axle to its front.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures};
use crate::length::Length;

/// Where on the wheels the gaps were taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Marks {
    /// Between the same two marks, in front and, rolled on half a turn, behind:
    /// run-out drops out, but for its part `ε sin² γ` with camber: 2e-4° at 0.3° and 1.5°.
    CarriedRound,
    /// In front and behind with the wheels standing.
    Standing {
        /// Run-out of the left wheel as an angle, see [`super::run_out`].
        left: Entered<Angle>,
        /// Run-out of the right wheel.
        right: Entered<Angle>,
    },
}

/// Gaps between the wheels of an axle, at one height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trammel {
    /// In front of the axle.
    pub front_gap: Entered<Length>,
    /// Behind the axle.
    pub rear_gap: Entered<Length>,
    /// Diameter at which the marks are.
    pub diameter: Entered<Length>,
    /// How far below the hubs the gaps were taken; nothing at hub height.
    pub below_hub: Entered<Length>,
    /// Where on the wheels.
    pub marks: Marks,
}

impl Trammel {
    /// Total toe, + toe-in.
    ///
    /// Below the hub the points are `√(D² − 4h²)` apart instead of D (upright
    /// wheels; camber of 2° changes that by less than 0.1 %). The difference of
    /// the gaps is the sum of both sines times that; the sum of the angles
    /// follows exactly if both are alike, and to 2e-4 of it if they are 2° apart.
    pub fn total(&self) -> Result<Figure<Angle>, EnteredError> {
        let gaps = Figures::entered([self.front_gap, self.rear_gap])?;
        let rim = Figures::entered([self.diameter.positive()?, self.below_hub])?;
        let tilts = match self.marks {
            Marks::CarriedRound => Figures::<1>::entered([Entered::exact(
                Angle::ZERO,
                crate::entered::Source::RunOut,
            )])?,
            Marks::Standing { left, right } => {
                Figures::entered([left, right])?.law(|[left, right]| [left + right])?
            }
        };
        let all: Figures<5> = gaps.beside::<2, 4>(&rim).beside(&tilts);
        let [front, rear, diameter, below, _] = *all.values();
        if 2.0 * below.abs() >= diameter {
            return Err(EnteredError::BelowRim { below, diameter });
        }
        let found = (rear - front) / (2.0 * chord(diameter, below));
        if found.abs() >= 1.0 {
            return Err(EnteredError::BeyondDiameter { found });
        }
        let total = all.law(|[front, rear, diameter, below, tilt]| {
            [2.0 * ((rear - front) / (2.0 * chord(*diameter, *below))).asin() + tilt]
        })?;
        Ok(total.figure(0))
    }
}

/// How far apart front and rear of a circle are, at a depth below its middle.
fn chord(diameter: f64, below: f64) -> f64 {
    (diameter * diameter - 4.0 * below * below).sqrt()
}
