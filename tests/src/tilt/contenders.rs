//! Filters that were compared, each as direction against gravity per reading.

use ahrs::{Ahrs as _, Madgwick, Mahony};
use fusion_ahrs::{Ahrs, AhrsSettings, Vector};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::Sample;
use hubplumb_core::stillness::StillnessDetector;
use hubplumb_core::tilt::{Tilt, TiltFollower};
use hubplumb_core::time::HostTime;
use vqf_rs::{Params, Quaternion, VQF};

use super::cuts::{RATE_HZ, Reading, up_of};
use super::{Up, cross, unit};

const STANDARD_GRAVITY: f64 = 9.806_65;
/// Readings at the start of a cut, all at rest, that give a gyro's offset.
const FIRST: usize = 1_500;

/// What a filter says of a cut, reading by reading.
pub type Found = Vec<Option<Up>>;
/// A filter with its name.
pub type Contender = (&'static str, fn(&[Reading]) -> Found);

/// All of them, the adopted one first and the two baselines last.
pub const ALL: [Contender; 11] = [
    ("adopted: `core::tilt`", |cut| {
        ours(cut, &ChipFigures::CHEAP)
            .iter()
            .map(|tilt| tilt.map(|tilt| tilt.up.vec().to_array()))
            .collect()
    }),
    ("adopted, readings as interval means", ours_for_means),
    ("vqf-rs 0.3, defaults", |cut| vqf(cut, Params::default())),
    ("vqf-rs 0.3, without its rest", |cut| {
        let rest_bias_est_enabled = false;
        vqf(
            cut,
            Params {
                rest_bias_est_enabled,
                ..Params::default()
            },
        )
    }),
    ("vqf-rs 0.3, accelerometer 1.5 s", |cut| {
        let tau_acc = 1.5;
        vqf(
            cut,
            Params {
                tau_acc,
                ..Params::default()
            },
        )
    }),
    ("vqf-rs 0.3, accelerometer 6 s", |cut| {
        let tau_acc = 6.0;
        vqf(
            cut,
            Params {
                tau_acc,
                ..Params::default()
            },
        )
    }),
    ("ahrs 0.8, Madgwick β 0.12", |cut| {
        let mut filter = Madgwick::new(1.0 / RATE_HZ, 0.12);
        each(cut, |r| {
            let q = filter
                .update_imu(&r.rate_radps.into(), &r.force_mps2.into())
                .ok()?;
            Some(up_of([q.w, q.i, q.j, q.k]))
        })
    }),
    ("ahrs 0.8, Mahony Kp 0.74 Ki 0.0012", |cut| {
        let mut filter = Mahony::new(1.0 / RATE_HZ, 0.74, 0.0012);
        each(cut, |r| {
            let q = filter
                .update_imu(&r.rate_radps.into(), &r.force_mps2.into())
                .ok()?;
            Some(up_of([q.w, q.i, q.j, q.k]))
        })
    }),
    ("fusion-ahrs 1.0, gain 0.5, rejection 10°", fusion),
    ("baseline: gyro alone", gyro_alone),
    ("baseline: accelerometer alone", |cut| {
        each(cut, |r| Some(unit(r.force_mps2)))
    }),
];

fn each(cut: &[Reading], step: impl FnMut(&Reading) -> Option<Up>) -> Found {
    cut.iter().map(step).collect()
}

/// The adopted filter with its uncertainty by motion.
pub fn ours(cut: &[Reading], chip: &ChipFigures) -> Vec<Option<Tilt>> {
    let (mut stillness, mut tilt) = (StillnessDetector::new(), TiltFollower::new());
    cut.iter()
        .map(|reading| {
            let sample = Sample {
                at: HostTime::from_us(reading.at_us),
                accel_g: Vec3::from_array(reading.force_mps2) * (1.0 / STANDARD_GRAVITY),
                rate_radps: Some(Vec3::from_array(reading.rate_radps)),
                temperature_c: None,
            };
            stillness.observe(&sample);
            tilt.observe(&sample, &stillness);
            tilt.tilt(chip)
        })
        .collect()
}

/// The adopted filter with the readings taken for means over the interval that
/// ends at their stamp, which puts them half an interval earlier: the direction
/// at a stamp then lies half way to the next reading's.
fn ours_for_means(cut: &[Reading]) -> Found {
    let found = ours(cut, &ChipFigures::CHEAP);
    let next = found.iter().skip(1).chain(found.last());
    let both = found.iter().zip(next);
    both.map(|(now, next)| Some(unit(((*now)?.up.vec() + (*next)?.up.vec()).to_array())))
        .collect()
}

/// The library by itself; quaternion (w, x, y, z) after each reading.
pub fn vqf_quaternions(cut: &[Reading], params: Params) -> Vec<[f64; 4]> {
    let mut filter = VQF::new(1.0 / RATE_HZ, None, None, Some(params));
    cut.iter()
        .map(|reading| {
            filter.update(reading.rate_radps, reading.force_mps2, None);
            let Quaternion(w, x, y, z) = filter.quat_6d();
            [w, x, y, z]
        })
        .collect()
}

fn vqf(cut: &[Reading], params: Params) -> Found {
    let all = vqf_quaternions(cut, params);
    all.into_iter().map(|q| Some(up_of(q))).collect()
}

/// Settings of the library's own advanced example but for the rate (from memory).
fn fusion(cut: &[Reading]) -> Found {
    #[expect(clippy::cast_possible_truncation, reason = "the library works in f32")]
    let vector = |v: [f64; 3], factor: f64| {
        let [x, y, z] = v.map(|c| (c * factor) as f32);
        Vector::new(x, y, z)
    };
    #[expect(clippy::cast_possible_truncation, reason = "the library works in f32")]
    let mut filter = Ahrs::with_settings(AhrsSettings {
        sample_rate: RATE_HZ as f32,
        gain: 0.5,
        gyroscope_range: 2000.0,
        acceleration_rejection: 10.0,
        rejection_timeout: 5.0,
        ..AhrsSettings::default()
    });
    each(cut, |r| {
        filter.update_no_magnetometer(
            vector(r.rate_radps, 1f64.to_degrees()),
            vector(r.force_mps2, 1.0 / STANDARD_GRAVITY),
        );
        let up = filter.gravity();
        Some(unit([up.x, up.y, up.z].map(f64::from)))
    })
}

/// From the first rest on by the gyro less its offset at that rest.
fn gyro_alone(cut: &[Reading]) -> Found {
    let mean = |of: fn(&Reading) -> [f64; 3]| {
        let mut sum = [0.0; 3];
        for reading in &cut[..FIRST] {
            for (total, part) in sum.iter_mut().zip(of(reading)) {
                *total += part / FIRST as f64;
            }
        }
        sum
    };
    let (offset, mut up) = (mean(|r| r.rate_radps), unit(mean(|r| r.force_mps2)));
    let mut index = 0;
    each(cut, |r| {
        index += 1;
        if index > FIRST {
            let mut turn = r.rate_radps;
            for (part, zero) in turn.iter_mut().zip(offset) {
                *part = (*part - zero) / RATE_HZ;
            }
            // Second order in the turn of one reading, then one long again.
            let once = cross(up, turn);
            let twice = cross(once, turn);
            up = unit([0, 1, 2].map(|i| up[i] + once[i] + 0.5 * twice[i]));
        }
        Some(up)
    })
}
