//! One carry judged: the heading between two rests, or why it does not count.

use nalgebra::{Matrix3, Rotation3, UnitQuaternion, Vector3};

use super::path::{Ends, Path, Swept};
use super::refusal::LeftOut;
use super::rest::RestSeen;
use super::{CarriedSetup, Face};
use crate::angle::Angle;
use crate::reading::Sample;

/// Leaning further than this is no carrying.
const LEAN: Angle = Angle::from_deg(35.0);
/// Turning aside further than this on the way.
const ASIDE: Angle = Angle::from_deg(60.0);
/// Two rests of the block differ by toe and nothing else.
const RESTS_APART: Angle = Angle::from_deg(10.0);
/// So near to half a turn the block was turned end for end.
const END_FOR_END: Angle = Angle::from_deg(20.0);
/// What scale and axes may do on one way, one sigma.
const WINDING: Angle = Angle::from_deg(0.1);
/// A blow; carrying shows a tenth of a g.
const BLOW_G: f64 = 0.6;
/// The longest and the shortest way, s.
const SLOW_S: f64 = 20.0;
pub(super) const QUICK_S: f64 = 1.0;
/// Share of the range that may be used.
const OF_RANGE: f64 = 0.97;
/// Longest time without a reading, µs; a tremble of 12 Hz has four readings a period then.
const GAP_US: i64 = 25_000;
/// Heading by half of the readings: more than this and noise is too coarse.
const COARSE: Angle = Angle::from_deg(0.05);
/// Gyro against gravity at the end, beside what the chip explains.
const CLOSES: Angle = Angle::from_deg(0.15);
const SIGMAS: f64 = 5.0;

/// One carry that counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Carry {
    /// Number of the rest before.
    pub before: usize,
    /// Number of the rest after.
    pub after: usize,
    /// Heading of the board's left after less before in the floor's plane, + to the left, rad.
    pub heading_rad: f64,
    /// The offset that was taken off, rad/s.
    pub bias_radps: Vector3<f64>,
    /// What a lean of the first and the second face does, rad per rad.
    pub by_lean: [f64; 2],
    /// What a slope by roll and by pitch does, rad per rad.
    pub by_slope: [f64; 2],
    /// What the Earth's rotation does that the rests do not take out, rad per (rad/s): forward, left, up.
    pub by_earth: Vector3<f64>,
    /// What errors of the readings do on its way.
    pub swept: Swept,
}

/// What a carry came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Came {
    /// Rest to rest with the block as it was, and how far, m.
    Straight(Box<Carry>, Vector3<f64>),
    /// The block was turned end for end and moved so far, m; its heading is not used.
    EndForEnd(Vector3<f64>),
}

/// Board → level, its left towards the car's left, or the right where the block is turned.
pub fn levelled(rest: &RestSeen, setup: &CarriedSetup) -> Option<UnitQuaternion<f64>> {
    let up = rest.force_g.try_normalize(1e-9)?;
    let left = Vector3::from(setup.to_left.vec().to_array());
    let left = if rest.turned { -left } else { left };
    let flat = (left - up * left.dot(&up)).try_normalize(0.5)?;
    let forward = flat.cross(&up);
    // Rows are the level axes in the board's.
    let rows = Matrix3::from_rows(&[forward.transpose(), flat.transpose(), up.transpose()]);
    Some(UnitQuaternion::from_rotation_matrix(
        &Rotation3::from_matrix_unchecked(rows),
    ))
}

/// Heading of a level vector in the plane of a floor with that slope, rad.
fn heading(v: &Vector3<f64>, [roll, pitch]: [f64; 2]) -> f64 {
    // The floor's axes are gravity's turned by the roll about X, then by the pitch about Y.
    let floor = Rotation3::from_axis_angle(&Vector3::y_axis(), pitch)
        * Rotation3::from_axis_angle(&Vector3::x_axis(), roll);
    let seen = floor.inverse() * v;
    seen.y.atan2(seen.x)
}

/// Judges the way between two rests, numbered `before` and `after`; its time and place are
/// judged by the caller. The rest after may not know yet whether the block is turned.
pub fn judge(
    samples: &[Sample],
    (before, after): (usize, usize),
    (begun, ended): (&RestSeen, &RestSeen),
    setup: &CarriedSetup,
) -> Result<Came, LeftOut> {
    let seconds = ended.from.since_s(begun.to);
    if seconds > SLOW_S {
        return Err(LeftOut::TooSlow {
            seconds,
            limit: SLOW_S,
        });
    }
    let gap = LeftOut::Gap {
        gap_ms: ended.from.since_us(begun.to) / 1000,
        limit_ms: GAP_US / 1000,
    };
    let level = levelled(begun, setup).ok_or(gap)?;
    let ends = Ends {
        from: begun.to,
        to: ended.from,
        level,
        bias_radps: 0.5 * (begun.rate_radps + ended.rate_radps),
        // Each rest's offset has what its force does in it.
        force_g: 0.5 * (begun.force_g + ended.force_g),
        strength_g: begun.force_g.norm(),
    };
    let path = Path::along(samples, &ends).ok_or(gap)?;
    check_readings(&path, setup)?;
    let arrived = level * path.turn;
    let forward = arrived * level.inverse() * Vector3::x();
    let net = Angle::from_rad(forward.y.atan2(forward.x));
    if path.lean_rad > LEAN.rad() {
        return Err(LeftOut::TiltedTooMuch {
            found: Angle::from_rad(path.lean_rad),
            limit: LEAN,
        });
    }
    if (std::f64::consts::PI - net.abs().rad()) < END_FOR_END.rad() {
        return Ok(Came::EndForEnd(path.moved_m));
    }
    check_way(&path, net, setup)?;
    let up = (arrived * ended.force_g).try_normalize(1e-9).ok_or(gap)?;
    let correction = UnitQuaternion::rotation_between(&up, &Vector3::z())
        .unwrap_or_else(UnitQuaternion::identity);
    check_closing(correction.angle(), &path, (begun, ended), setup)?;
    let faced = Faced {
        begun: level,
        ended: correction * arrived,
        faces: [
            Face::at(begun.place, begun.turned),
            Face::at(ended.place, begun.turned),
        ],
        left: Vector3::from(setup.to_left.vec().to_array()),
        up: begun.force_g.normalize(),
    };
    let slope = [setup.floor.roll.value.rad(), setup.floor.pitch.value.rad()];
    let at = |lean: [f64; 2], slope: [f64; 2]| faced.difference(lean, slope);
    let heading_rad = at([0.0; 2], slope);
    let nudge = 1e-3;
    let by = |lean: [f64; 2], more: [f64; 2]| {
        let slope = [slope[0] + more[0], slope[1] + more[1]];
        (at(lean, slope) - heading_rad) / nudge
    };
    let vertical = Vector3::z() * path.swept.seconds;
    let moved_m = path.moved_m;
    let carry = Carry {
        before,
        after,
        heading_rad,
        bias_radps: ends.bias_radps,
        by_lean: [by([nudge, 0.0], [0.0; 2]), by([0.0, nudge], [0.0; 2])],
        by_slope: [by([0.0; 2], [nudge, 0.0]), by([0.0; 2], [0.0, nudge])],
        by_earth: vertical - level * path.swept.by_bias,
        swept: path.swept,
    };
    Ok(Came::Straight(Box::new(carry), moved_m))
}

/// The faces at both ends, in the level frame of the begin.
struct Faced {
    begun: UnitQuaternion<f64>,
    ended: UnitQuaternion<f64>,
    faces: [Face; 2],
    left: Vector3<f64>,
    up: Vector3<f64>,
}

impl Faced {
    /// Heading after less before, with faces that lean by so much against the board's axes.
    fn difference(&self, lean: [f64; 2], slope: [f64; 2]) -> f64 {
        let normal = |face: Face| {
            self.left
                + self.up
                    * match face {
                        Face::First => lean[0],
                        Face::Second => lean[1],
                    }
        };
        let before = heading(&(self.begun * normal(self.faces[0])), slope);
        let after = heading(&(self.ended * normal(self.faces[1])), slope);
        Angle::from_rad(after - before).wrapped().rad()
    }
}

fn check_readings(path: &Path, setup: &CarriedSetup) -> Result<(), LeftOut> {
    if path.gap_us > GAP_US {
        return Err(LeftOut::Gap {
            gap_ms: path.gap_us / 1000,
            limit_ms: GAP_US / 1000,
        });
    }
    let range = OF_RANGE * setup.chip.gyro_range_radps;
    if path.rate_radps > range {
        return Err(LeftOut::Saturated {
            found_dps: path.rate_radps.to_degrees(),
            limit_dps: setup.chip.gyro_range_radps.to_degrees(),
        });
    }
    if path.peak_g > BLOW_G || path.force_g > OF_RANGE * setup.chip.accel_range_g {
        return Err(LeftOut::Bumped {
            peak_g: path.peak_g,
            limit_g: BLOW_G,
        });
    }
    Ok(())
}

fn check_way(path: &Path, net: Angle, setup: &CarriedSetup) -> Result<(), LeftOut> {
    let chip = &setup.chip;
    if path.heading_rad > ASIDE.rad() {
        return Err(LeftOut::TurnedTooMuch {
            found: Angle::from_rad(path.heading_rad),
            limit: ASIDE,
        });
    }
    if net.abs() > RESTS_APART {
        return Err(LeftOut::RestsTurned {
            found: net,
            limit: RESTS_APART,
        });
    }
    let winding = Angle::from_rad(
        path.swept
            .by_matrix
            .component_mul(&matrix_sigmas(setup))
            .norm(),
    );
    if winding > WINDING {
        return Err(LeftOut::WayTooWinding {
            found: winding,
            limit: WINDING,
        });
    }
    // Every second reading alone has twice the variance by noise: what differs scatters by it once.
    let noise = chip.gyro_noise_radps_rthz * (0.5 * path.swept.seconds).sqrt();
    let limit = Angle::from_rad(COARSE.rad() + SIGMAS * noise);
    if path.every_second_rad.abs() > limit.rad() {
        return Err(LeftOut::TooFewReadings {
            found: Angle::from_rad(path.every_second_rad),
            limit,
        });
    }
    Ok(())
}

fn check_closing(
    found_rad: f64,
    path: &Path,
    (begun, ended): (&RestSeen, &RestSeen),
    setup: &CarriedSetup,
) -> Result<(), LeftOut> {
    let chip = &setup.chip;
    let noise = chip.gyro_noise_radps_rthz * (0.5 * path.swept.seconds).sqrt();
    let offset = (0.5 * (begun.rate_variance + ended.rate_variance)).sqrt();
    let drift = path.swept.seconds * chip.gyro_drift_radps.hypot(offset);
    // A way that leans by some angle and back leaves what the axes and one g make of it.
    let axes = chip.gyro_scale.hypot(chip.gyro_cross_rad) * path.turn.angle();
    let force = setup.gyro_per_g_radps * path.lean_rad.sin() * path.swept.seconds;
    let tilt = begun.force_standard_g.hypot(ended.force_standard_g);
    let leant =
        (chip.accel_scale.hypot(chip.accel_cross_rad) + chip.accel_offset_g) * path.turn.angle();
    let standard = [drift, axes, force, tilt, leant]
        .into_iter()
        .fold(noise, f64::hypot);
    let limit = Angle::from_rad(CLOSES.rad() + SIGMAS * standard);
    if found_rad > limit.rad() {
        return Err(LeftOut::DoesNotClose {
            found: Angle::from_rad(found_rad),
            limit,
        });
    }
    Ok(())
}

/// One sigma of each entry of the gyro's matrix.
pub(super) fn matrix_sigmas(setup: &CarriedSetup) -> Matrix3<f64> {
    let chip = &setup.chip;
    Matrix3::from_fn(|row, column| {
        if row == column {
            chip.gyro_scale
        } else {
            chip.gyro_cross_rad
        }
    })
}
