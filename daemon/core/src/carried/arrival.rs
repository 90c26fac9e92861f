//! Which wheel the block was carried to, by the way it went.

use nalgebra::Vector3;

use super::Place;
use super::refusal::LeftOut;

/// Further to a side than this is another wheel; nearer than [`SAME_M`] the same one.
const ACROSS_M: f64 = 0.8;
const ALONG_M: f64 = 1.5;
const SAME_M: f64 = 0.5;

/// Where the block is after a way, forward, left and up, m.
pub(super) fn place_after(from: Place, moved_m: &Vector3<f64>) -> Result<Place, LeftOut> {
    let (forward_m, left_m) = (moved_m.x, moved_m.y);
    let nowhere = LeftOut::NoWheelThere { forward_m, left_m };
    let mut place = from;
    if left_m.abs() > ACROSS_M {
        // To the left from a right wheel and to the right from a left one.
        let outward = left_m * from.side().sign() > 0.0;
        place = place.across().filter(|_| !outward).ok_or(nowhere)?;
    } else if left_m.abs() > SAME_M {
        return Err(nowhere);
    }
    if forward_m.abs() > ALONG_M {
        let outward = (forward_m > 0.0) == from.is_front();
        place = place.along().filter(|_| !outward).ok_or(nowhere)?;
    } else if forward_m.abs() > ACROSS_M {
        return Err(nowhere);
    }
    Ok(place)
}
