//! Figures that a person reads off and enters, and what follows from them.
//!
//! [`Entered`] is one reading with its standard uncertainty and what that comes
//! from. [`Figures`] carries several through a law and keeps every single error
//! apart, so that results which share one stay correlated (JCGM 100:2008, 5.2).
//! [`Figure`] is one result with its budget.

mod error;
mod figure;
mod figures;
mod source;

use crate::angle::Angle;
use crate::gum::{GumError, Uncertainty};
use crate::length::Length;

pub use error::EnteredError;
pub use figure::{Figure, Share};
pub use figures::Figures;
pub use source::Source;

/// What can be entered and worked out: an angle, a length, a plain number.
pub trait Quantity: Copy + PartialEq + std::fmt::Debug {
    /// From the coherent unit: rad, m, 1.
    fn from_si(si: f64) -> Self;
    /// In the coherent unit: rad, m, 1.
    fn si(self) -> f64;
}

impl Quantity for Angle {
    fn from_si(si: f64) -> Self {
        Self::from_rad(si)
    }
    fn si(self) -> f64 {
        self.rad()
    }
}

impl Quantity for Length {
    fn from_si(si: f64) -> Self {
        Self::from_m(si)
    }
    fn si(self) -> f64 {
        self.m()
    }
}

impl Quantity for f64 {
    fn from_si(si: f64) -> Self {
        si
    }
    fn si(self) -> f64 {
        self
    }
}

/// A reading with its standard uncertainty and what that comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entered<Q> {
    /// What was read.
    pub value: Q,
    /// Standard uncertainty in the coherent unit (rad, m, 1), and how well it is known.
    pub uncertainty: Uncertainty,
    /// What the uncertainty comes from.
    pub source: Source,
}

impl<Q: Quantity> Entered<Q> {
    /// A reading with its standard uncertainty (one sigma).
    pub fn new(value: Q, standard: Q, source: Source) -> Self {
        Self::with(value, Uncertainty::certain(standard.si()), source)
    }

    /// A reading with an uncertainty in the coherent unit.
    pub const fn with(value: Q, uncertainty: Uncertainty, source: Source) -> Self {
        Self {
            value,
            uncertainty,
            source,
        }
    }

    /// Anywhere within ± `half_width`, all places alike (JCGM 100:2008, 4.3.7),
    /// as a reading between two lines of a scale is.
    pub fn within(value: Q, half_width: Q, source: Source) -> Self {
        Self::with(value, Uncertainty::rectangular(half_width.si()), source)
    }

    /// Known for certain, such as a nominal size by definition.
    pub const fn exact(value: Q, source: Source) -> Self {
        Self::with(value, Uncertainty::certain(0.0), source)
    }

    /// The mean of repeated readings, by their scatter (JCGM 100:2008, 4.2).
    pub fn mean(readings: &[Q], source: Source) -> Result<Self, GumError> {
        let si: Vec<f64> = readings.iter().map(|reading| reading.si()).collect();
        let (mean, uncertainty) = Uncertainty::of_mean(&si)?;
        Ok(Self::with(Q::from_si(mean), uncertainty, source))
    }

    /// Refused unless it is a number.
    pub(crate) fn finite(self) -> Result<Self, GumError> {
        if self.value.si().is_finite() && self.uncertainty.standard.is_finite() {
            Ok(self)
        } else {
            Err(GumError::NotFinite)
        }
    }

    /// Refused unless it is a number above zero.
    pub(crate) fn positive(self) -> Result<Self, EnteredError> {
        let found = self.finite()?.value.si();
        if found > 0.0 {
            Ok(self)
        } else {
            let from = self.source;
            Err(EnteredError::NotPositive { from, found })
        }
    }
}
