//! How the strings of a string box lie.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures, Source};
use crate::length::Length;
use crate::side::Side;

/// Distances from the hub centres of one side to their string, square to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HubDistances {
    /// From the front hub.
    pub front: Entered<Length>,
    /// From the rear hub.
    pub rear: Entered<Length>,
}

/// What was measured across the car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Across {
    /// From hub to hub, between the same faces that the distances start from.
    Tracks {
        /// Front.
        front: Entered<Length>,
        /// Rear.
        rear: Entered<Length>,
    },
    /// From string to string, beside the hubs.
    Widths {
        /// Front.
        front: Entered<Length>,
        /// Rear.
        rear: Entered<Length>,
    },
}

/// Strings that were gauged from the hubs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugedStrings {
    /// Left string.
    pub left: HubDistances,
    /// Right string.
    pub right: HubDistances,
    /// What was measured across.
    pub across: Across,
    /// From front to rear hubs.
    pub wheelbase: Entered<Length>,
}

/// How far the strings can be trusted to be parallel to the centreline.
///
/// The centreline goes through the middles between the front hubs and between
/// the rear hubs.
#[derive(Debug, Clone, PartialEq)]
pub enum Strings {
    /// Presumed parallel, each by itself, within a standard uncertainty.
    Presumed {
        /// One sigma.
        standard: Angle,
    },
    /// Gauged; what they are off by is computed out.
    Gauged(Box<GaugedStrings>),
}

impl Strings {
    /// How far each string, left and right, runs inwards towards the front.
    ///
    /// Distances from hub to string enter to first order in this angle.
    pub(super) fn headings(&self) -> Result<Figures<2>, EnteredError> {
        match self {
            Self::Presumed { standard } => {
                let presumed = Entered::new(Angle::ZERO, *standard, Source::StringNotParallel);
                Ok(Figures::entered([presumed; 2])?)
            }
            Self::Gauged(gauged) => gauged.headings(),
        }
    }

    /// How far a string runs inwards towards the front.
    pub fn heading(&self, side: Side) -> Result<Figure<Angle>, EnteredError> {
        let index = usize::from(side == Side::Right);
        Ok(self.headings()?.figure(index))
    }
}

impl GaugedStrings {
    fn headings(&self) -> Result<Figures<2>, EnteredError> {
        let hubs = Figures::entered([
            self.left.front,
            self.left.rear,
            self.right.front,
            self.right.rear,
        ])?;
        let (Across::Tracks { front, rear } | Across::Widths { front, rear }) = self.across;
        let across = Figures::entered([front.positive()?, rear.positive()?])?;
        let base = Figures::entered([self.wheelbase.positive()?])?;
        let all: Figures<7> = hubs.beside::<2, 6>(&across).beside(&base);
        let by_tracks = matches!(self.across, Across::Tracks { .. });
        // From the centreline to a string beside a hub.
        let outward = move |across: f64, own: f64, other: f64| {
            0.5 * across + if by_tracks { own } else { 0.5 * (own - other) }
        };
        Ok(all.law(|[lf, lr, rf, rr, front, rear, base]| {
            let inward = |f: f64, r: f64, other_f: f64, other_r: f64| {
                ((outward(*rear, r, other_r) - outward(*front, f, other_f)) / base).atan()
            };
            [inward(*lf, *lr, *rf, *rr), inward(*rf, *rr, *lf, *lr)]
        })?)
    }
}
