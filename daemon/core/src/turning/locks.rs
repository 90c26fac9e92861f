//! Lock to lock.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures};

/// How far the steering wheel goes from where it was held straight ahead to
/// either lock, both as magnitudes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Locks {
    /// To the left.
    pub left: Entered<Angle>,
    /// To the right.
    pub right: Entered<Angle>,
}

impl Locks {
    fn figures(&self) -> Result<Figures<2>, EnteredError> {
        Ok(Figures::entered([
            self.left.positive()?,
            self.right.positive()?,
        ])?)
    }
}

/// How far straight-ahead is off the middle between the locks, as an angle of
/// the steering wheel: `(L − R) / 2`, + where the middle lies to the left.
pub fn off_centre(locks: &Locks) -> Result<Figure<Angle>, EnteredError> {
    let middle = locks
        .figures()?
        .law(|[left, right]| [0.5 * (left - right)])?;
    Ok(middle.figure(0))
}

/// The same at the road wheels, by the steering ratio.
pub fn off_centre_at_wheels(
    locks: &Locks,
    ratio: Entered<f64>,
) -> Result<Figure<Angle>, EnteredError> {
    let all: Figures<3> = locks
        .figures()?
        .beside(&Figures::entered([ratio.positive()?])?);
    let middle = all.law(|[left, right, ratio]| [0.5 * (left - right) / ratio])?;
    Ok(middle.figure(0))
}

/// How much further the left wheel steers as inner wheel than the right one:
/// the inner angle at the left lock less that at the right lock.
pub fn lock_difference(
    left_wheel_at_left_lock: Entered<Angle>,
    right_wheel_at_right_lock: Entered<Angle>,
) -> Result<Figure<Angle>, EnteredError> {
    let inner = Figures::entered([
        left_wheel_at_left_lock.positive()?,
        right_wheel_at_right_lock.positive()?,
    ])?;
    Ok(inner.law(|[left, right]| [left - right])?.figure(0))
}
