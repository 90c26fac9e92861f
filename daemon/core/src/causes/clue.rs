//! Deviations that speak for or against causes.

use thiserror::Error;

use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::gum::{GumError, Uncertainty, difference};
use crate::side::Side;

/// An angle that each front wheel has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Camber.
    Camber,
    /// Caster.
    Caster,
    /// Steering axis inclination.
    Sai,
    /// SAI plus camber.
    IncludedAngle,
    /// Toe-out on turns: by how much this wheel as the inner one turns further
    /// than the other. Its target is the car's data, or the other side's.
    TurningOut,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Camber,
        Self::Caster,
        Self::Sai,
        Self::IncludedAngle,
        Self::TurningOut,
    ];
}

/// Which figure deviates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Clue {
    /// An angle of one wheel against its target.
    Wheel(Kind, Side),
    /// Left less right, where there is no target.
    Across(Kind),
    /// Setback, + with the left wheel ahead.
    Setback,
    /// Thrust angle, + to the right.
    Thrust,
    /// The steering's middle off its locks' middle, at the front wheels, + to the left.
    Centring,
}

/// What a figure is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Against {
    /// The car's data.
    Data,
    /// The other side.
    OtherSide,
    /// The same car before.
    Before,
}

/// A figure's deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Of which figure.
    pub clue: Clue,
    /// Found less expected.
    pub deviation: Estimate,
    /// What is expected from.
    pub against: Against,
}

impl Seen {
    /// Against the car's data.
    pub const fn from_data(clue: Clue, deviation: Estimate) -> Self {
        Self {
            clue,
            deviation,
            against: Against::Data,
        }
    }

    /// Deviation in standard uncertainties, signed.
    pub fn sigmas(&self) -> f64 {
        self.deviation.value.rad() / self.deviation.standard.rad()
    }

    /// Larger than its 95 % interval.
    pub fn counts(&self) -> bool {
        self.deviation.value.abs() > self.deviation.expanded()
    }
}

/// Why nothing can be said.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum CausesError {
    /// No figure at all.
    #[error("no figure was given")]
    NoFigure,
    /// A deviation without a positive, finite uncertainty.
    #[error("{clue:?} deviates by {value_rad} ± {standard_rad} rad")]
    NoUncertainty {
        /// Which figure.
        clue: Clue,
        /// Its deviation, rad.
        value_rad: f64,
        /// Its standard uncertainty, rad.
        standard_rad: f64,
    },
    /// One figure twice.
    #[error("{clue:?} was given twice")]
    Twice {
        /// Which figure.
        clue: Clue,
    },
    /// Correlations that cannot be together.
    #[error("the correlations cannot be together")]
    Correlations,
}

/// What a wheel's angle should be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// The middle.
    pub nominal: Angle,
    /// ± this as the maker allows. Sound cars lie anywhere in it, so a third of its
    /// square counts as variance (JCGM 100:2008, 4.3.7).
    pub tolerance: Angle,
    /// Where it is from.
    pub from: Against,
}

/// One kind of angle of both wheels, with the targets there are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// Which kind.
    pub kind: Kind,
    /// Found left and right.
    pub found: [Option<Estimate>; 2],
    /// Should be, left and right.
    pub targets: [Option<Target>; 2],
    /// Correlation of the errors of left and right.
    pub correlation: f64,
}

/// Deviations from the targets where there are any, else of left from right.
pub fn compare(compared: &Compared) -> Result<Vec<Seen>, GumError> {
    let mut seen = Vec::new();
    for (index, side) in Side::BOTH.into_iter().enumerate() {
        if let (Some(found), Some(target)) = (compared.found[index], compared.targets[index]) {
            let allowed = Uncertainty::rectangular(target.tolerance.rad());
            let standard = found.standard.rad().hypot(allowed.standard);
            seen.push(Seen {
                clue: Clue::Wheel(compared.kind, side),
                deviation: Estimate::new(found.value - target.nominal, Angle::from_rad(standard)),
                against: target.from,
            });
        }
    }
    if let (true, [Some(left), Some(right)]) = (seen.is_empty(), compared.found) {
        seen.push(Seen {
            clue: Clue::Across(compared.kind),
            deviation: difference(&left, &right, compared.correlation)?,
            against: Against::OtherSide,
        });
    }
    Ok(seen)
}
