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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_tells_the_wheel() {
        use Place::{Edge, FrontLeft, FrontRight, RearLeft, RearRight};
        let check = |from, forward_m, left_m, wanted: Option<Place>| {
            let found = place_after(from, &Vector3::new(forward_m, left_m, 0.1));
            assert_eq!(found.ok(), wanted, "{from:?} {forward_m} {left_m}");
        };
        check(FrontLeft, 0.1, -1.5, Some(FrontRight));
        check(FrontRight, -0.1, 1.6, Some(FrontLeft));
        check(FrontLeft, -2.5, 0.0, Some(RearLeft));
        check(RearRight, 2.6, 0.1, Some(FrontRight));
        check(FrontLeft, -2.5, -1.5, Some(RearRight));
        check(RearLeft, 0.2, 0.3, Some(RearLeft));
        // Outward, between two, or where there is no other.
        check(FrontLeft, 0.0, 1.5, None);
        check(FrontRight, 0.0, -1.5, None);
        check(FrontLeft, 2.5, 0.0, None);
        check(RearLeft, -2.5, 0.0, None);
        check(FrontLeft, 0.0, -0.65, None);
        check(FrontLeft, -1.0, 0.0, None);
        check(Edge, 0.0, -1.5, None);
    }
}
