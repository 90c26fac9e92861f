//! Toe by a spot of light that a mirror on the wheel throws back.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figures, Source};
use crate::length::Length;

use super::WheelToe;

/// Where the spot came back, from where the beam left the screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Towards the front of the car.
    pub forward: Entered<Length>,
    /// Up.
    pub up: Entered<Length>,
}

/// A mirror across the spin axis and a level beam square to the car, which
/// leaves through the screen and comes back to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reflection {
    /// The spot.
    pub first: Spot,
    /// The spot after the wheel was rolled on half a turn: what the mirror was
    /// put on askew drops out.
    pub half_turned: Option<Spot>,
    /// How askew the mirror may sit if it was not turned; exactly none if it was.
    pub mirror: Entered<Angle>,
    /// From mirror to screen.
    pub distance: Entered<Length>,
    /// How far the beam's line, seen from the wheel, points forward of square to
    /// the centreline. It goes into toe one to one.
    pub beam: Entered<Angle>,
}

impl Reflection {
    /// Toe of the wheel, + toe-in: a spot thrown forward.
    ///
    /// The mirror's normal halves the angle between the beam to it and from it,
    /// which is the factor two of a reflection. It is taken in space: a wheel
    /// with camber throws the spot up or down as well, and the sideways part of
    /// such a slanting throw by itself would read high.
    pub fn toe(&self) -> Result<WheelToe, EnteredError> {
        let rest = Figures::entered([self.distance.positive()?])?
            .beside::<2, 3>(&Figures::entered([self.mirror, self.beam])?);
        let one = Figures::entered([self.first.forward, self.first.up])?;
        let again = self.half_turned.unwrap_or(Spot {
            forward: Entered::exact(Length::ZERO, Source::SpotReading),
            up: Entered::exact(Length::ZERO, Source::SpotReading),
        });
        let turned = self.half_turned.is_some();
        let two = Figures::entered([again.forward, again.up])?;
        let all: Figures<7> = one.beside::<2, 4>(&two).beside(&rest);
        let toe = all.law(|[x, z, x_turned, z_turned, distance, mirror, beam]| {
            let [mut forward, mut outboard] = normal(*x, *z, *distance);
            if turned {
                // Askew one way and the other way: the sum lies along the axis.
                let [f, o] = normal(*x_turned, *z_turned, *distance);
                forward += f;
                outboard += o;
            }
            [forward.atan2(outboard) + mirror + beam]
        })?;
        Ok(WheelToe(toe))
    }
}

/// Forward and outboard part of the mirror's normal, of length one in space.
fn normal(forward: f64, up: f64, distance: f64) -> [f64; 2] {
    let path = distance.hypot(forward).hypot(up);
    // Out along the beam and along the way back, both of length one, added.
    let (x, y, z) = (forward / path, 1.0 + distance / path, up / path);
    let length = x.hypot(y).hypot(z);
    [x / length, y / length]
}
