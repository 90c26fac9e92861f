//! Toe-out on turns from measured pairs of steer angles.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures, Source};
use crate::side::Side;

use super::ackermann::{acot, cot, of_turn};

/// Beyond the outermost pair by no more than this an angle is still told.
const BEYOND: Angle = Angle::from_deg(2.0);
/// Part of the difference between both ways of interpolating that is doubted;
/// judgement.
const DOUBTED: f64 = 0.25;

/// Steer angles of both wheels, read at one standstill in a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteerPair {
    /// Of the inner wheel.
    pub inner: Entered<Angle>,
    /// Of the outer wheel.
    pub outer: Entered<Angle>,
}

/// Which wheel a figure is asked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TurnSide {
    /// The inner one.
    Inner,
    /// The outer one.
    Outer,
}

impl TurnSide {
    const fn of(self, pair: &SteerPair) -> Entered<Angle> {
        match self {
            Self::Inner => pair.inner,
            Self::Outer => pair.outer,
        }
    }

    const fn other_of(self, pair: &SteerPair) -> Entered<Angle> {
        match self {
            Self::Inner => pair.outer,
            Self::Outer => pair.inner,
        }
    }
}

/// Pairs of a turn to one side, in order of the steer.
#[derive(Debug, Clone, PartialEq)]
pub struct ToeOutOnTurns {
    towards: Side,
    pairs: Vec<SteerPair>,
}

/// One pair or two neighbours that an angle is told from.
enum Near<'a> {
    One(&'a SteerPair),
    Two(&'a SteerPair, &'a SteerPair),
}

impl ToeOutOnTurns {
    /// From pairs read in turns to one side.
    pub fn new(towards: Side, mut pairs: Vec<SteerPair>) -> Result<Self, EnteredError> {
        for pair in &pairs {
            for angle in [pair.inner, pair.outer] {
                of_turn(angle)?.finite()?;
            }
        }
        pairs.sort_by(|a, b| a.inner.value.rad().total_cmp(&b.inner.value.rad()));
        Ok(Self { towards, pairs })
    }

    /// Which way the car turned.
    pub const fn towards(&self) -> Side {
        self.towards
    }

    /// The other wheel's angle when one is at `angle`.
    ///
    /// Between two pairs `cot δo − cot δi` is taken to go in a straight line,
    /// not the angles: it does not change at all in an ideal turn, and little in
    /// a real one. What the two ways differ by is partly doubted. Within 2° of a
    /// single or outermost pair that pair's is kept.
    pub fn other(&self, given: TurnSide, angle: Angle) -> Result<Figure<Angle>, EnteredError> {
        Ok(self.at(given, angle)?.figure(0))
    }

    /// Toe-out on turns: inner less outer angle, one of them being at `angle`.
    pub fn toe_out(&self, given: TurnSide, angle: Angle) -> Result<Figure<Angle>, EnteredError> {
        let asked = angle.rad();
        let toe_out = self.at(given, angle)?.law(|[other]| match given {
            TurnSide::Inner => [asked - other],
            TurnSide::Outer => [other - asked],
        })?;
        Ok(toe_out.figure(0))
    }

    fn at(&self, given: TurnSide, angle: Angle) -> Result<Figures<1>, EnteredError> {
        let asked = of_turn(Entered::exact(angle, Source::PlateReading))?
            .value
            .rad();
        match self.near(given, angle)? {
            Near::One(pair) => Ok(read(pair, given)?
                .law(|[given, other]| [acot(cot(asked) + cot(*other) - cot(*given))])?),
            Near::Two(low, high) => {
                let pairs: Figures<4> = read(low, given)?.beside(&read(high, given)?);
                let by_cot = pairs.law(|[g, o, h, p]| {
                    let (first, last) = (cot(*o) - cot(*g), cot(*p) - cot(*h));
                    let along = (asked - g) / (h - g);
                    [acot(cot(asked) + first + along * (last - first))]
                })?;
                let [g, o, h, p] = *pairs.values();
                let by_angle = o + (p - o) * (asked - g) / (h - g);
                let doubt = DOUBTED * (by_angle - by_cot.values()[0]).abs();
                Ok(by_cot.also(Source::Interpolation, [doubt]))
            }
        }
    }

    fn near(&self, given: TurnSide, angle: Angle) -> Result<Near<'_>, EnteredError> {
        let place = |pair: &SteerPair| given.of(pair).value;
        let low = self.pairs.iter().rfind(|p| place(p) <= angle);
        let high = self.pairs.iter().find(|p| place(p) > angle);
        match (low, high) {
            (Some(low), _) if place(low) == angle => Ok(Near::One(low)),
            (Some(low), Some(high)) => Ok(Near::Two(low, high)),
            (Some(only), None) | (None, Some(only)) if (place(only) - angle).abs() <= BEYOND => {
                Ok(Near::One(only))
            }
            _ => Err(EnteredError::NotRead {
                asked_deg: angle.deg(),
            }),
        }
    }
}

/// Angle of the wheel that is asked at, then of the other.
fn read(pair: &SteerPair, given: TurnSide) -> Result<Figures<2>, EnteredError> {
    Ok(Figures::entered([given.of(pair), given.other_of(pair)])?)
}
