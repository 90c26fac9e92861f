//! What steer angles would be without any scrub.

use std::f64::consts::FRAC_PI_2;

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures};
use crate::length::Length;

/// What the ideal depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geometry {
    /// From axle to axle.
    pub wheelbase: Entered<Length>,
    /// Between the kingpins, where their axes meet the ground.
    pub kingpins: Entered<Length>,
}

impl Geometry {
    /// Wheelbase and kingpin spacing, m.
    pub(super) fn entered(&self) -> Result<Figures<2>, EnteredError> {
        Ok(Figures::entered([
            self.wheelbase.positive()?,
            self.kingpins.positive()?,
        ])?)
    }
}

/// The angle with this cotangent, 0 to π.
pub(super) fn acot(cotangent: f64) -> f64 {
    FRAC_PI_2 - cotangent.atan()
}

/// Cotangent, none at straight-ahead.
pub(super) fn cot(angle: f64) -> f64 {
    1.0 / angle.tan()
}

/// Steer angle of a turn, refused unless between 0 and 90°.
pub(super) fn of_turn(angle: Entered<Angle>) -> Result<Entered<Angle>, EnteredError> {
    let found_deg = angle.value.deg();
    if found_deg > 0.0 && found_deg < 90.0 {
        Ok(angle)
    } else {
        Err(EnteredError::SteerAngle { found_deg })
    }
}

/// `outer` of an inner angle: `cot δo = cot δi + t/l`, rad and m.
pub(super) fn outer_of(inner: f64, wheelbase: f64, kingpins: f64) -> f64 {
    acot(cot(inner) + kingpins / wheelbase)
}

/// Outer angle at which both front wheels turn about one point on the line of
/// the rear axle (ISO 8855:2011, 7.1.9).
pub fn ideal_outer(
    inner: Entered<Angle>,
    geometry: &Geometry,
) -> Result<Figure<Angle>, EnteredError> {
    let all: Figures<3> = geometry
        .entered()?
        .beside(&Figures::entered([of_turn(inner)?])?);
    Ok(all
        .law(|[l, t, inner]| [outer_of(*inner, *l, *t)])?
        .figure(0))
}

/// Inner angle for an outer one; the opposite of [`ideal_outer`].
pub fn ideal_inner(
    outer: Entered<Angle>,
    geometry: &Geometry,
) -> Result<Figure<Angle>, EnteredError> {
    let all: Figures<3> = geometry
        .entered()?
        .beside(&Figures::entered([of_turn(outer)?])?);
    Ok(all
        .law(|[l, t, outer]| [acot(cot(*outer) - t / l)])?
        .figure(0))
}

/// `cot δo − cot δi`, which is kingpin spacing over wheelbase in an ideal turn.
pub fn cot_difference(
    inner: Entered<Angle>,
    outer: Entered<Angle>,
) -> Result<Figure<f64>, EnteredError> {
    let all = Figures::entered([of_turn(inner)?, of_turn(outer)?])?;
    Ok(all
        .law(|[inner, outer]| [cot(*outer) - cot(*inner)])?
        .figure(0))
}

/// How much of the ideal toe-out there is, in percent:
/// `(δi − δo) / (δi − δo,ideal) · 100`, 0 for parallel wheels and 100 where the
/// axes meet on the line of the rear axle. Other definitions are about.
pub fn percent_ackermann(
    inner: Entered<Angle>,
    outer: Entered<Angle>,
    geometry: &Geometry,
) -> Result<Figure<f64>, EnteredError> {
    let angles = Figures::entered([of_turn(inner)?, of_turn(outer)?])?;
    let all: Figures<4> = geometry.entered()?.beside(&angles);
    let percent = all.law(|[l, t, inner, outer]| {
        [100.0 * (inner - outer) / (inner - outer_of(*inner, *l, *t))]
    })?;
    Ok(percent.figure(0))
}
