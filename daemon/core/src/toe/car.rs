//! What the toe of four wheels says about the car.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures};
use crate::gum::Correlated;
use crate::length::Length;

use super::AxleToe;

/// Figures that follow from the toe of four wheels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToeFigure {
    /// Toe of the left front wheel, + in.
    LeftFront,
    /// Toe of the right front wheel, + in.
    RightFront,
    /// Toe of the left rear wheel, + in.
    LeftRear,
    /// Toe of the right rear wheel, + in.
    RightRear,
    /// Sum of the front wheels, + in.
    TotalFront,
    /// Sum of the rear wheels, + in.
    TotalRear,
    /// Where the rear wheels steer the car, + to the right.
    Thrust,
    /// Toe of the left front wheel against the thrust line, + in.
    LeftFrontToThrust,
    /// Toe of the right front wheel against the thrust line, + in.
    RightFrontToThrust,
    /// Where the front wheels pointed against the thrust line with the steering
    /// as it was held, + to the right.
    SteerAhead,
}

impl ToeFigure {
    /// All of them, in the order of covariances.
    pub const ALL: [Self; 10] = [
        Self::LeftFront,
        Self::RightFront,
        Self::LeftRear,
        Self::RightRear,
        Self::TotalFront,
        Self::TotalRear,
        Self::Thrust,
        Self::LeftFrontToThrust,
        Self::RightFrontToThrust,
        Self::SteerAhead,
    ];

    const fn index(self) -> usize {
        self as usize
    }
}

/// Toe of a car, with all that follows and what the errors share.
#[derive(Debug, Clone, PartialEq)]
pub struct CarToe(Figures<10>);

impl CarToe {
    /// From the toe of left front, right front, left rear and right rear.
    pub(super) fn of(toes: &Figures<4>) -> Result<Self, EnteredError> {
        Ok(Self(toes.law(|[lf, rf, lr, rr]| {
            let thrust = 0.5 * (lr - rr);
            [
                *lf,
                *rf,
                *lr,
                *rr,
                lf + rf,
                lr + rr,
                thrust,
                lf - thrust,
                rf + thrust,
                0.5 * (lf - rf) - thrust,
            ]
        })?))
    }

    /// From two axles that were measured each by itself.
    pub fn of_axles(front: &AxleToe, rear: &AxleToe) -> Result<Self, EnteredError> {
        Self::of(&front.0.beside(&rear.0))
    }

    /// One of the figures with its budget.
    pub fn figure(&self, which: ToeFigure) -> Figure<Angle> {
        self.0.figure(which.index())
    }

    /// All figures in rad with their covariance, in the order of [`ToeFigure::ALL`].
    pub fn correlated(&self) -> Result<Correlated<10>, EnteredError> {
        Ok(self.0.to_correlated()?)
    }

    /// How far the steering wheel was from where it stands when the car drives
    /// straight: steer-ahead times the steering ratio, + to the right.
    pub fn steering_wheel(&self, ratio: Entered<f64>) -> Result<Figure<Angle>, EnteredError> {
        let all: Figures<11> = self.0.beside(&Figures::entered([ratio.positive()?])?);
        let turned = all.law(|inputs| [inputs[ToeFigure::SteerAhead.index()] * inputs[10]])?;
        Ok(turned.figure(0))
    }
}

/// How far the rear axle runs beside the front one: `wheelbase · tan(thrust)`,
/// + where the car's front goes to the left of its rear.
pub fn dog_track_offset(
    car: &CarToe,
    wheelbase: Entered<Length>,
) -> Result<Figure<Length>, EnteredError> {
    let all: Figures<11> = car.0.beside(&Figures::entered([wheelbase.positive()?])?);
    let offset = all.law(|inputs| [inputs[10] * inputs[ToeFigure::Thrust.index()].tan()])?;
    Ok(offset.figure(0))
}

/// How far the left wheel of an axle stands ahead of the right one.
pub fn setback_length(
    left: Entered<Length>,
    right: Entered<Length>,
) -> Result<Figure<Length>, EnteredError> {
    let ahead = Figures::entered([left, right])?.law(|[left, right]| [left - right])?;
    Ok(ahead.figure(0))
}

/// Setback as an angle: `atan((x_left − x_right) / track)`, + with the left
/// wheel ahead; x from one line across the car.
pub fn setback(
    left: Entered<Length>,
    right: Entered<Length>,
    track: Entered<Length>,
) -> Result<Figure<Angle>, EnteredError> {
    let all = Figures::entered([left, right, track.positive()?])?;
    let angle = all.law(|[left, right, track]| [((left - right) / track).atan()])?;
    Ok(angle.figure(0))
}
