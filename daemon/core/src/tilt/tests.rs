//! The filter on made motion.

#![expect(
    clippy::cast_possible_truncation,
    reason = "some seconds in microseconds are far from the end of the range"
)]

use proptest::prelude::*;

use super::*;

/// A board that leans by `lean_rad(t)` about its X axis, read `rate_hz` times a
/// second by a chip whose gyro has the offset `zero`; the filter after `until_s`.
struct Made<F: Fn(f64) -> f64> {
    lean_rad: F,
    zero: Vec3<Board>,
    rate_hz: f64,
}

impl<F: Fn(f64) -> f64> Made<F> {
    fn sample(&self, t: f64) -> Sample {
        let lean = (self.lean_rad)(t);
        let slope = ((self.lean_rad)(t + 1e-4) - (self.lean_rad)(t - 1e-4)) / 2e-4;
        Sample {
            at: HostTime::from_us((t * 1e6).round() as i64),
            accel_g: Vec3::new(0.0, lean.sin(), lean.cos()),
            rate_radps: Some(Vec3::new(slope, 0.0, 0.0) + self.zero),
            temperature_c: None,
        }
    }

    fn run(&self, until_s: f64) -> TiltFilter {
        let mut filter = TiltFilter::starting(self.zero);
        for i in 0..=(until_s * self.rate_hz).round() as i64 {
            filter
                .observe(&self.sample(i as f64 / self.rate_hz))
                .unwrap();
        }
        filter
    }
}

fn lean_of(filter: &TiltFilter) -> f64 {
    let up = filter.tilt(&ChipFigures::IDEAL).unwrap().up.vec();
    up.y().atan2(up.z())
}

/// From 0 to 1 between two times, smoothly.
fn eased(t: f64, from: f64, to: f64) -> f64 {
    let u = ((t - from) / (to - from)).clamp(0.0, 1.0);
    u * u * u * (10.0 - 15.0 * u + 6.0 * u * u)
}

const BIG_ZERO: Vec3<Board> = Vec3::new(0.3, -0.2, 0.1); // 17 °/s

#[test]
fn a_step_that_the_gyro_sees_is_followed_at_once() {
    // 5° within 0.2 s; 30 readings a second draw such a step coarsely.
    let check = |rate_hz: f64, within_deg: f64| {
        let made = Made {
            lean_rad: |t| 5f64.to_radians() * eased(t, 6.0, 6.2),
            zero: BIG_ZERO,
            rate_hz,
        };
        for until in [6.3, 6.5, 7.0, 9.0] {
            let found = lean_of(&made.run(until)).to_degrees();
            assert!(
                (found - 5.0).abs() < within_deg,
                "{rate_hz} Hz, {until} s: {found}"
            );
        }
    };
    check(30.0, 0.1);
    check(100.0, 0.01);
    check(1000.0, 0.01);
}

#[test]
fn the_value_is_as_new_as_the_newest_reading() {
    // A steady 10 °/s for a second: 10 ms of lag would be 0.1°.
    let made = Made {
        lean_rad: |t| 10f64.to_radians() * (t - 6.0).max(0.0),
        zero: Vec3::zero(),
        rate_hz: 285.0,
    };
    for i in 0..20 {
        let until = 6.9 + f64::from(i) / 285.0;
        let last = (until * made.rate_hz).round() / made.rate_hz;
        let lag = (made.lean_rad)(last) - lean_of(&made.run(until));
        assert!(
            lag.to_degrees().abs() < 0.02,
            "{until}: {}°",
            lag.to_degrees()
        );
    }
}

#[test]
fn a_step_of_the_accelerometer_alone_comes_in_over_seconds() {
    // The gyro says that nothing turned: an error of the accelerometer or a long push.
    let made = Made {
        lean_rad: |_| 0.0,
        zero: Vec3::zero(),
        rate_hz: 100.0,
    };
    let mut filter = made.run(6.0);
    let step = 0.02f64;
    let mut shares = Vec::new();
    for i in 1..=1200 {
        let t = 6.0 + f64::from(i) * 0.01;
        let mut sample = made.sample(t);
        sample.accel_g = Vec3::new(0.0, step.sin(), step.cos());
        filter.observe(&sample).unwrap();
        if [20, 100, 300, 600, 1200].contains(&i) {
            shares.push(lean_of(&filter) / step);
        }
    }
    // A Butterworth of second order, w = √2 / 3 s: after 0.2, 1, 3, 6 and 12 s
    // 1 − e^(−t/3)(cos(t/3) + sin(t/3)).
    let butterworth = |t: f64| 1.0 - (-t / 3.0).exp() * ((t / 3.0).cos() + (t / 3.0).sin());
    for (share, t) in shares.iter().zip([0.2, 1.0, 3.0, 6.0, 12.0]) {
        assert!(
            (share - butterworth(t)).abs() < 0.02,
            "{t} s: {share}, {}",
            butterworth(t)
        );
    }
}

#[test]
fn a_gap_or_a_missing_rate_loses_it() {
    let made = Made {
        lean_rad: |_| 0.1,
        zero: BIG_ZERO,
        rate_hz: 50.0,
    };
    let check = |sample: Sample, expected: Result<(), Lost>| {
        assert_eq!(made.run(5.0).observe(&sample), expected);
    };
    check(made.sample(5.3), Ok(()));
    check(made.sample(5.301), Err(Lost::Gap(301_000)));
    check(
        Sample {
            rate_radps: None,
            ..made.sample(5.02)
        },
        Err(Lost::NoRate),
    );
}

#[test]
fn nothing_is_said_before_the_filter_is_ready() {
    let made = Made {
        lean_rad: |_| 0.1,
        zero: BIG_ZERO,
        rate_hz: 100.0,
    };
    assert_eq!(made.run(2.9).tilt(&ChipFigures::GOOD), None);
    assert!(made.run(3.1).tilt(&ChipFigures::GOOD).is_some());
}

#[test]
fn the_uncertainty_grows_with_the_motion() {
    let standard = |amplitude_deg: f64| {
        let made = Made {
            lean_rad: move |t: f64| amplitude_deg.to_radians() * eased(t, 5.0, 6.0),
            zero: Vec3::zero(),
            rate_hz: 100.0,
        };
        let tilt = made.run(6.0).tilt(&ChipFigures::CHEAP).unwrap();
        tilt.standard.deg()
    };
    let (rest, small, large) = (standard(0.0), standard(5.0), standard(40.0));
    assert!(rest < small && small < large, "{rest} {small} {large}");
    // 40° by 0.3 % scale and 0.1 % cross axis is 0.13° at least, with the memory fading.
    assert!(large > 0.1 && rest < 0.1, "{rest} {large}");
}

#[test]
fn a_slow_steady_turn_is_not_taken_for_an_offset() {
    // 0.5 °/s for 6 s, as at an adjuster: VQF by itself would learn half of it away.
    let made = Made {
        lean_rad: |t: f64| 0.5f64.to_radians() * (t - 6.0).clamp(0.0, 6.0),
        zero: BIG_ZERO,
        rate_hz: 100.0,
    };
    let found = lean_of(&made.run(12.0)).to_degrees();
    assert!((found - 3.0).abs() < 0.03, "{found}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn any_rate_and_any_zero_gives_the_same_tilt(
        rate_hz in 30.0..1000.0f64,
        zero in [-0.35..0.35f64, -0.35..0.35, -0.35..0.35],
        degrees in -20.0..20.0f64,
    ) {
        let made = Made {
            lean_rad: move |t: f64| degrees.to_radians() * eased(t, 5.0, 7.0),
            zero: Vec3::from_array(zero),
            rate_hz,
        };
        let (once, again) = (made.run(7.5), made.run(7.5));
        let (found, same) = (lean_of(&once), lean_of(&again));
        prop_assert_eq!(found.to_bits(), same.to_bits());
        prop_assert!((found.to_degrees() - degrees).abs() < 0.03, "{}", found.to_degrees());
    }
}
