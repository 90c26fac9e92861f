//! Attitudes as angles.

use std::f64::consts::PI;

/// Roll, pitch and yaw (order Z-Y-X) of a quaternion, scalar first; none of one without length.
pub(crate) fn attitude_rad([w, x, y, z]: [f64; 4]) -> Option<[f64; 3]> {
    let length_squared = w * w + x * x + y * y + z * z;
    // A sound one is of length 1 to a few parts in 10⁴; one of half that length, or that is no number, is none at all.
    if !(0.25..4.0).contains(&length_squared) {
        return None;
    }
    let sin_pitch = 2.0 * (w * y - z * x) / length_squared;
    Some([
        (2.0 * (w * x + y * z)).atan2(w * w - x * x - y * y + z * z),
        sin_pitch.clamp(-1.0, 1.0).asin(),
        (2.0 * (w * z + x * y)).atan2(w * w + x * x - y * y - z * z),
    ])
}

/// The attitude towards a world whose z points up, of one towards a world whose
/// z points down, or the other way about; the board's axes stay.
///
/// The world is turned by 180° about its x: `Rx(π) Rz(yaw) Ry(pitch) Rx(roll)` is
/// `Rz(−yaw) Ry(−pitch) Rx(roll + π)`.
pub(crate) fn world_upside_down([roll, pitch, yaw]: [f64; 3]) -> [f64; 3] {
    let turned = if roll > 0.0 { roll - PI } else { roll + PI };
    [turned, -pitch, -yaw]
}

#[cfg(test)]
mod tests {
    use super::*;

    const HALF: f64 = std::f64::consts::FRAC_1_SQRT_2;

    #[test]
    fn quarter_turns_are_what_they_are() {
        let cases = [
            ([1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0]),
            ([HALF, HALF, 0.0, 0.0], [90.0, 0.0, 0.0]),
            ([HALF, 0.0, HALF, 0.0], [0.0, 90.0, 0.0]),
            ([HALF, 0.0, 0.0, HALF], [0.0, 0.0, 90.0]),
        ];
        for (quaternion, expected) in cases {
            let found = attitude_rad(quaternion).expect("of length 1");
            let is_gimbal_locked = expected[1] == 90.0;
            for (found, expected) in found.map(f64::to_degrees).into_iter().zip(expected) {
                assert!(
                    is_gimbal_locked || (found - expected).abs() < 1e-9,
                    "{quaternion:?}"
                );
            }
            assert!((found[1].to_degrees() - expected[1]).abs() < 1e-5);
        }
    }

    #[test]
    fn what_has_no_length_is_no_attitude() {
        for part in [0.0, 0.2, 1.5, f64::NAN, f64::INFINITY] {
            assert_eq!(attitude_rad([part; 4]), None, "{part}");
        }
    }

    /// Multiplied out by hand with quaternions: (0, 1, 0, 0) ⊗ q turns the world about x.
    #[test]
    fn a_world_upside_down_is_a_half_turn_about_x() {
        let [w, x, y, z] = [0.8, 0.1, -0.3, 0.2];
        let direct = attitude_rad([-x, w, -z, y]).expect("of length near 1");
        let turned = world_upside_down(attitude_rad([w, x, y, z]).expect("of length near 1"));
        for (direct, turned) in direct.into_iter().zip(turned) {
            assert!((direct - turned).abs() < 1e-12, "{direct} {turned}");
        }
    }
}
