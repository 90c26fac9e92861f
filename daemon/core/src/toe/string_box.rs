//! Toe from strings beside the car.

use crate::entered::{Entered, EnteredError, Figures};
use crate::length::Length;

use super::{AxleToe, CarToe, Strings, WheelAtString};

/// An axle gauged against the strings of both sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleAtStrings {
    /// Left wheel.
    pub left: WheelAtString,
    /// Right wheel.
    pub right: WheelAtString,
    /// Diameter at which both were gauged, flange of the rim or tyre.
    pub diameter: Entered<Length>,
}

impl AxleAtStrings {
    /// Differences left and right, diameter, run-outs left and right.
    fn gauged(&self) -> Result<Figures<5>, EnteredError> {
        let diameter = Figures::entered([self.diameter.positive()?])?;
        let all: Figures<5> = self
            .left
            .difference()?
            .beside::<2, 4>(&self.right.difference()?)
            .beside(&diameter);
        let [left, _, right, _, across] = *all.values();
        for difference in [left, right] {
            let found = difference / across;
            if found.abs() >= 1.0 {
                return Err(EnteredError::BeyondDiameter { found });
            }
        }
        Ok(all)
    }

    /// Toe of both wheels against the centreline.
    ///
    /// A wheel gauged square to its string has `sin τ = (front − rear) / D`
    /// against the string; the string's own heading is added.
    pub fn toe(&self, strings: &Strings) -> Result<AxleToe, EnteredError> {
        let all: Figures<7> = self.gauged()?.beside(&strings.headings()?);
        Ok(AxleToe(all.law(
            |[
                left,
                tilt_left,
                right,
                tilt_right,
                diameter,
                inward_left,
                inward_right,
            ]| {
                [
                    (left / diameter).asin() + tilt_left + inward_left,
                    (right / diameter).asin() + tilt_right + inward_right,
                ]
            },
        )?))
    }

    /// Toe of all wheels of a car: what the strings are off by is one error for
    /// front and rear.
    pub fn car(front: &Self, rear: &Self, strings: &Strings) -> Result<CarToe, EnteredError> {
        let all: Figures<12> = front
            .gauged()?
            .beside::<5, 10>(&rear.gauged()?)
            .beside(&strings.headings()?);
        let toes = all.law(|inputs| {
            let [
                lf,
                lf_tilt,
                rf,
                rf_tilt,
                front,
                lr,
                lr_tilt,
                rr,
                rr_tilt,
                rear,
                left,
                right,
            ] = inputs;
            [
                (lf / front).asin() + lf_tilt + left,
                (rf / front).asin() + rf_tilt + right,
                (lr / rear).asin() + lr_tilt + left,
                (rr / rear).asin() + rr_tilt + right,
            ]
        })?;
        CarToe::of(&toes)
    }
}
