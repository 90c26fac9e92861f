//! A wheel gauged at the front and the rear of its rim.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figures, Source};
use crate::gum::Uncertainty;
use crate::length::Length;

/// Distances from a string outside the wheel to the front and the rear of the
/// rim or tyre, at hub height and square to the string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RimReading {
    /// To the front.
    pub front: Entered<Length>,
    /// To the rear.
    pub rear: Entered<Length>,
}

/// How a wheel was gauged against its string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WheelAtString {
    /// As it stood; the run-out stays in.
    Once {
        /// The reading.
        reading: RimReading,
        /// Run-out as an angle, see [`run_out`].
        run_out: Entered<Angle>,
    },
    /// Before and after rolling half a turn: the run-out drops out.
    HalfTurned {
        /// Before.
        first: RimReading,
        /// After.
        second: RimReading,
    },
}

impl WheelAtString {
    /// Front less rear distance, m, and the angle that run-out may add, rad.
    ///
    /// Of two readings half a turn apart the mean is taken. The run-out tilts
    /// the rim's normal one way and then as far the other way, so its part ε drops
    /// out of the mean, but for `½ ε² tan γ` with camber: 2e-5° at 0.3° and 1.5°.
    pub(super) fn difference(&self) -> Result<Figures<2>, EnteredError> {
        Ok(match self {
            Self::Once { reading, run_out } => {
                let distances = Figures::entered([reading.front, reading.rear])?;
                let tilt = Figures::entered([*run_out])?;
                distances.law(|[front, rear]| [front - rear])?.beside(&tilt)
            }
            Self::HalfTurned { first, second } => {
                Figures::entered([first.front, first.rear, second.front, second.rear])?
                    .law(|[f, r, g, s]| [0.5 * (f - r + g - s), 0.0])?
            }
        })
    }
}

/// What run-out that is not taken out does to toe: nothing on average, and at
/// worst the whole tilt of the rim, depending on where the wheel came to stand.
///
/// `total` is the total indicator reading, from least to most, at the side of
/// the rim at `diameter`. The tilt swings as a sine does.
pub fn run_out(total: Length, diameter: Length) -> Entered<Angle> {
    let tilt = (total / diameter).clamp(-1.0, 1.0).asin();
    Entered::with(Angle::ZERO, Uncertainty::arcsine(tilt), Source::RunOut)
}
