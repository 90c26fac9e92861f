//! Noise of known density, and recordings that tell none.

use hubplumb_core::frames::Vec3;

use super::*;

/// White noise of known density: the sum of twelve even numbers is nearly normal.
struct White(u64);

impl White {
    fn even(&mut self) -> f64 {
        // SplitMix64 (Steele, Lea, Flood 2014), from memory.
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }

    fn three(&mut self, sigma: f64) -> Vec3<hubplumb_core::frames::Board> {
        Vec3::new(
            sigma * self.normal(),
            sigma * self.normal(),
            sigma * self.normal(),
        )
    }
}

const RATE_HZ: f64 = 100.0;
const ACCEL_UG_RTHZ: f64 = 300.0;
const GYRO_DPS_RTHZ: f64 = 0.008;

fn resting(seconds: i64) -> Recording {
    let mut white = White(7);
    // One-sided density: sigma per reading = density · √(rate / 2).
    let per_reading = (RATE_HZ / 2.0).sqrt();
    let readings = (0..seconds * 100)
        .map(|n| RawSample {
            at: HostTime::from_us(n * 10_000),
            accel_g: Vec3::new(0.0, 0.0, 1.0) + white.three(ACCEL_UG_RTHZ * 1e-6 * per_reading),
            rate_radps: Some(
                white.three((GYRO_DPS_RTHZ * per_reading).to_radians()) + Vec3::new(0.01, 0.0, 0.0),
            ),
            temperature_c: Some(24.0),
        })
        .collect();
    Recording {
        file: "rest.csv".into(),
        readings,
        same_time: 0,
        cut_short: None,
    }
}

#[test]
fn white_noise_of_known_density_is_found_again() {
    let found = of(&resting(700)).unwrap();
    assert_eq!(found.axes.len(), 6);
    for axis in &found.axes {
        let should = if axis.unit == "g" {
            ACCEL_UG_RTHZ * 1e-6
        } else {
            GYRO_DPS_RTHZ
        };
        let density = axis.density.value().unwrap();
        assert!(
            (density / should - 1.0).abs() < 0.05,
            "{}: {density}",
            axis.axis
        );
        assert!(
            axis.bias_instability.value().is_none(),
            "{:?}",
            axis.bias_instability
        );
    }
    let noise = found.figures.accel_noise_ug_rthz.unwrap();
    assert!((noise / ACCEL_UG_RTHZ - 1.0).abs() < 0.05, "{noise}");
    // White noise alone leaves density / √(2 τ) over a minute.
    let drift = found.figures.gyro_drift_dps.unwrap();
    assert!(
        (0.5..2.0).contains(&(drift / (GYRO_DPS_RTHZ / 120f64.sqrt()))),
        "{drift}"
    );
}

#[test]
fn hands_at_both_ends_are_left_out() {
    let mut recording = resting(200);
    let count = recording.readings.len();
    for index in (0..300).chain(count - 200..count) {
        recording.readings[index].accel_g =
            Vec3::new(if index % 20 < 10 { 0.2 } else { -0.2 }, 0.0, 1.0);
    }
    let found = of(&recording).unwrap();
    let [start, end] = found.handled_s;
    assert!(
        (2.9..4.0).contains(&start) && (1.9..4.0).contains(&end),
        "{start} {end}"
    );
    let ax = found.axes[0].density.value().unwrap();
    assert!((ax / (ACCEL_UG_RTHZ * 1e-6) - 1.0).abs() < 0.1, "{ax}");
}

#[test]
fn what_cannot_be_is_refused_with_its_place() {
    let check = |seconds: i64, spoil: &dyn Fn(&mut Vec<RawSample>), told: &str| {
        let mut recording = resting(seconds);
        spoil(&mut recording.readings);
        let error = of(&recording).unwrap_err().to_string();
        assert!(error.contains(told), "{error} lacks {told}");
    };
    check(60, &|_| (), "at least 120 s");
    check(
        200,
        &|r| drop(r.drain(9_000..9_030)),
        "no reading for 310 ms, 90.0 s after",
    );
    check(
        200,
        &|r| r.retain(|r| r.at.us() % 300_000 != 0),
        "readings are missing",
    );
    let shove = |r: &mut Vec<RawSample>| {
        for reading in &mut r[10_000..10_100] {
            reading.accel_g = Vec3::new(0.3, 0.0, 0.95);
        }
    };
    check(200, &shove, "the board moved 100.");
}
