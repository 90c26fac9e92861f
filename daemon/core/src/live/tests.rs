//! What a person sees while the hub moves.

#![expect(
    clippy::cast_possible_truncation,
    reason = "some seconds in microseconds are far from the end of the range"
)]

use super::*;
use crate::mounting::{BoardAxis, MountingTrust};

/// A left wheel, board with its Y outboard and Z up, so that camber is the lean
/// about X and nothing else.
fn setup(chip: ChipFigures) -> WheelSetup {
    let trust = MountingTrust {
        camber: Angle::ZERO,
        pitch: Angle::ZERO,
        heading: Angle::ZERO,
    };
    let (side, outboard, up) = (Side::Left, BoardAxis::YPlus, BoardAxis::ZPlus);
    WheelSetup {
        side,
        chip,
        mounting: Mounting::declared(side, outboard, up, trust).unwrap(),
        floor: FloorSlope::presumed_level(Angle::ZERO),
    }
}

/// Camber over time: rest at 0 for 5 s, then 2 °/s up to 2°, then rest.
fn camber_deg(t: f64) -> f64 {
    2.0 * (t - 5.0).clamp(0.0, 1.0)
}

fn raw(t: f64, with_gyro: bool) -> RawSample {
    let lean = camber_deg(t).to_radians();
    let rate = if (5.0..6.0).contains(&t) {
        2f64.to_radians()
    } else {
        0.0
    };
    // Camber + top out: up leans inboard in the board's axes.
    RawSample {
        at: HostTime::from_us((t * 1e6).round() as i64),
        accel_g: Vec3::new(0.0, -lean.sin(), lean.cos()),
        rate_radps: with_gyro.then(|| Vec3::new(-rate, 0.0, 0.0)),
        temperature_c: None,
    }
}

/// What is shown at `until` after 100 readings a second, those for which `lost` says so left out.
fn shown(with_gyro: bool, until: f64, lost: impl Fn(f64) -> bool) -> LiveWheel {
    let chip = ChipFigures::GOOD;
    let mut pipeline = BoardPipeline::new(Calibration::none(), chip, Some(setup(chip)));
    for i in 0..=(until * 100.0).round() as i64 {
        let t = i as f64 * 0.01;
        if !lost(t) {
            pipeline.ingest(&raw(t, with_gyro)).unwrap();
        }
    }
    pipeline.live(HostTime::from_us((until * 1e6) as i64))
}

#[track_caller]
fn camber(live: &LiveWheel) -> Estimate {
    match live.camber {
        Live::Known { value, .. } => value,
        Live::Missing(reason) => panic!("missing: {reason:?}"),
    }
}

const ALL: fn(f64) -> bool = |_| false;

#[test]
fn in_motion_the_filter_is_as_new_as_the_reading() {
    let live = shown(true, 5.9, ALL);
    assert_eq!(live.motion, Motion::Moving);
    let found = camber(&live);
    assert!(
        (found.value.deg() - camber_deg(5.9)).abs() < 0.03,
        "{found:?}"
    );
}

#[test]
fn at_rest_the_mean_is_shown_with_a_smaller_uncertainty() {
    let (before, moving, after) = (
        shown(true, 4.9, ALL),
        shown(true, 5.9, ALL),
        shown(true, 7.5, ALL),
    );
    assert_eq!(
        (before.motion, after.motion),
        (Motion::Still, Motion::Still)
    );
    assert!(camber(&before).standard < camber(&moving).standard);
    assert!((camber(&after).value.deg() - 2.0).abs() < 1e-6);
    assert_eq!(after, shown(false, 7.5, ALL));
}

#[test]
fn without_gyro_the_mean_stays_half_a_window_behind() {
    let live = shown(false, 5.9, ALL);
    assert_eq!(live.motion, Motion::Moving);
    // The window's middle is a quarter of a second ago: 0.5° at 2 °/s.
    let behind = camber_deg(5.9) - camber(&live).value.deg();
    assert!((behind - 0.5).abs() < 0.02, "{behind}");
}

#[test]
fn without_gyro_a_figure_owns_to_being_behind() {
    let mut seen = 0;
    // The board turns from 5 s to 6 s. What lasted less than a twentieth of a second is noise.
    for hundredths in 505..=650 {
        let t = f64::from(hundredths) * 0.01;
        let live = shown(false, t, ALL);
        let Live::Known { value, .. } = live.camber else {
            continue;
        };
        seen += 1;
        let off = (value.value.deg() - camber_deg(t)).abs();
        assert!(off <= 4.0 * value.standard.deg(), "{t}: {off} {value:?}");
    }
    assert!(seen > 100, "{seen}");
}

#[test]
fn without_gyro_a_jump_widens_the_figure_until_the_window_has_passed() {
    let chip = ChipFigures::GOOD;
    for jump_deg in [0.05, 0.3, 0.8, 2.0_f64] {
        let mut pipeline = BoardPipeline::new(Calibration::none(), chip, Some(setup(chip)));
        let mut looks = 0;
        // An axis that hung until 2 s goes on elsewhere: no turn leads there.
        for i in 0..300 {
            let lean = if i < 200 { 0.0 } else { jump_deg.to_radians() };
            let at = HostTime::from_us(i * 10_000);
            let reading = RawSample {
                at,
                accel_g: Vec3::new(0.0, -lean.sin(), lean.cos()),
                rate_radps: None,
                temperature_c: None,
            };
            pipeline.ingest(&reading).unwrap();
            // After a twentieth of a second the newest readings tell.
            if i >= 205
                && let Live::Known { value, .. } = pipeline.live(at).camber
            {
                looks += 1;
                let off = (value.value.deg() - lean.to_degrees()).abs();
                assert!(off <= 4.0 * value.standard.deg(), "{i}: {off} {value:?}");
            }
        }
        assert!(looks >= 50, "{jump_deg}: {looks}");
    }
}

/// At rest the gyro tells that the board is where its mean is; without one its newest readings count.
#[test]
fn at_rest_only_a_board_without_gyro_owns_to_its_newest_readings() {
    for with_gyro in [true, false] {
        let chip = ChipFigures::GOOD;
        let mut pipeline = BoardPipeline::new(Calibration::none(), chip, Some(setup(chip)));
        let mut standard_deg = Vec::new();
        for i in 0..300_i32 {
            let at = HostTime::from_us(i64::from(i) * 10_000);
            // Below what counts as motion: two hundredths of a degree, over noise of one.
            let noise_deg = 0.01 * f64::from(i * 7919 % 11 - 5) / 5.0;
            let lean = (noise_deg + if i < 290 { 0.0 } else { 0.03 }).to_radians();
            let accel_g = Vec3::new(0.0, -lean.sin(), lean.cos());
            pipeline
                .ingest(&RawSample {
                    at,
                    accel_g,
                    ..raw(0.0, with_gyro)
                })
                .unwrap();
            assert!(pipeline.live(at).motion != Motion::Moving);
            if i >= 280 {
                standard_deg.push(camber(&pipeline.live(at)).standard.deg());
            }
        }
        let (before, after) = (standard_deg[0], standard_deg[19]);
        assert_eq!(after > before + 0.005, !with_gyro, "{before} {after}");
        assert!(pipeline.still_mean(HostTime::from_us(3_000_000)).is_some());
    }
}

/// An axis with fine digits that hangs is told by the pipeline itself, of a chip that has noise.
#[test]
fn an_axis_that_hangs_is_told() {
    let chip = ChipFigures::GOOD;
    let mut pipeline = BoardPipeline::new(Calibration::none(), chip, Some(setup(chip)));
    let mut told = None;
    for i in 0..600_i32 {
        let noise = |seed: i32| f64::from((i * 7919 + seed) % 1009) * 1e-6;
        let x = if i < 400 { noise(1) } else { 0.000_1 };
        let reading = RawSample {
            at: HostTime::from_us(i64::from(i) * 10_000),
            accel_g: Vec3::new(x, noise(2), 1.0 + noise(3)),
            rate_radps: Some(Vec3::new(noise(4), noise(5), noise(6))),
            temperature_c: None,
        };
        if let Err(why) = pipeline.ingest(&reading) {
            told = told.or(Some((i, why)));
        }
    }
    let (at, why) = told.expect("it hangs");
    assert_eq!(why, Rejected::Stuck { axis: 0 });
    assert!((420..440).contains(&at), "{at}");
}

#[test]
fn a_board_that_begins_anew_without_a_pause_shows_nothing_of_before() {
    for with_gyro in [true, false] {
        let chip = ChipFigures::GOOD;
        let mut pipeline = BoardPipeline::new(Calibration::none(), chip, Some(setup(chip)));
        for i in 0..300 {
            pipeline
                .ingest(&raw(f64::from(i) * 0.01, with_gyro))
                .unwrap();
        }
        pipeline.begin_anew();
        // Another board, at 2° and at rest, from one reading to the next.
        for i in 0..60 {
            let at = HostTime::from_us(3_000_000 + i64::from(i) * 10_000);
            pipeline
                .ingest(&RawSample {
                    at,
                    ..raw(7.0, with_gyro)
                })
                .unwrap();
            match pipeline.live(at).camber {
                Live::Known { value, .. } => assert!((value.value.deg() - 2.0).abs() < 1e-6),
                Live::Missing(reason) => assert_eq!(reason, Missing::Settling),
            }
        }
        assert!(matches!(
            pipeline.live(HostTime::from_us(3_590_000)).camber,
            Live::Known { .. }
        ));
    }
}

#[test]
fn lost_readings_end_the_filter_until_the_next_rest() {
    // A hole of 0.35 s in the turn: the mean is what is left, and it is behind.
    let hole = |t: f64| (5.1..5.449).contains(&t);
    let behind = camber_deg(5.9) - camber(&shown(true, 5.9, hole)).value.deg();
    assert!(behind > 0.3, "{behind}");
    let short = |t: f64| (5.1..5.349).contains(&t);
    let behind = camber_deg(5.9) - camber(&shown(true, 5.9, short)).value.deg();
    assert!(behind.abs() < 0.03, "{behind}");
}

#[test]
fn saturation_ends_the_filter() {
    let chip = ChipFigures::GOOD;
    let mut pipeline = BoardPipeline::new(Calibration::none(), chip, Some(setup(chip)));
    for i in 0..500 {
        pipeline.ingest(&raw(f64::from(i) * 0.01, true)).unwrap();
    }
    assert!(pipeline.tilt.tilt(&chip).is_some());
    let mut bad = raw(5.0, true);
    bad.rate_radps = Some(Vec3::new(0.0, 3.0, 0.0));
    assert!(matches!(
        pipeline.ingest(&bad),
        Err(Rejected::Saturated { .. })
    ));
    assert!(pipeline.tilt.tilt(&chip).is_none());
}

#[test]
fn shaking_that_hides_gravity_keeps_a_figure_with_a_wider_uncertainty() {
    let chip = ChipFigures::GOOD;
    let play = |with_gyro: bool| {
        let mut pipeline = BoardPipeline::new(Calibration::none(), chip, Some(setup(chip)));
        for i in 0..=490 {
            let t = f64::from(i) * 0.01;
            let mut reading = raw(t, with_gyro);
            if t > 4.0 {
                // 10 Hz across, without turning.
                let push = 0.3 * (t * 62.8).sin();
                reading.accel_g = reading.accel_g + Vec3::new(0.0, push, 0.0);
            }
            pipeline.ingest(&reading).unwrap();
        }
        pipeline.live(HostTime::from_us(4_900_000))
    };
    assert_eq!(play(false).camber, Live::Missing(Missing::Moving));
    let found = camber(&play(true));
    assert!(
        found.value.deg().abs() < 2.0 * found.standard.deg(),
        "{found:?}"
    );
    assert!(found.standard.deg() > 0.1, "{found:?}");
}

/// A board that lies in the car with its printed X to the left and Y to the rear, Z up but
/// for a tilt of its seat; the body rolls by `roll_deg` (left up) and noses up by `pitch_deg`.
fn on_body(t: f64, roll_deg: f64, pitch_deg: f64) -> RawSample {
    let (roll, pitch) = (roll_deg.to_radians(), pitch_deg.to_radians());
    // Against gravity in the car's axes, forward, left, up: nose up shows it forward.
    let car = [
        pitch.sin(),
        pitch.cos() * roll.sin(),
        pitch.cos() * roll.cos(),
    ];
    let seat = 7f64.to_radians();
    let (left, rear, up) = (car[1], -car[0], car[2]);
    RawSample {
        at: HostTime::from_us((t * 1e6).round() as i64),
        accel_g: Vec3::new(
            left * seat.cos() - up * seat.sin(),
            rear,
            left * seat.sin() + up * seat.cos(),
        ),
        rate_radps: None,
        temperature_c: None,
    }
}

fn lean_after(forward: Option<Dir<Board>>, roll_deg: f64, pitch_deg: f64) -> LiveLean {
    let mut pipeline = BoardPipeline::new(Calibration::none(), ChipFigures::GOOD, None);
    pipeline.set_forward(forward);
    for i in 0..800 {
        let t = f64::from(i) * 0.01;
        let leant = if t > 4.0 { 1.0 } else { 0.0 };
        pipeline
            .ingest(&on_body(t, leant * roll_deg, leant * pitch_deg))
            .unwrap();
    }
    pipeline.live(HostTime::from_us(7_990_000));
    pipeline.lean(HostTime::from_us(7_990_000))
}

#[test]
fn a_body_leans_from_where_it_first_rested_about_the_axes_of_the_car() {
    for (roll_deg, pitch_deg) in [(1.5, 0.0), (-1.5, 0.0), (0.0, 0.8), (0.0, -0.8)] {
        let lean = lean_after(Some(-Dir::y_axis()), roll_deg, pitch_deg);
        let (Live::Known { value: roll, .. }, Live::Known { value: pitch, .. }) =
            (lean.roll, lean.pitch)
        else {
            panic!("{lean:?}");
        };
        assert!((roll.value.deg() - roll_deg).abs() < 1e-6, "{lean:?}");
        assert!((pitch.value.deg() - pitch_deg).abs() < 1e-6, "{lean:?}");
    }
}

#[test]
fn a_body_board_whose_heading_nobody_knows_has_no_lean() {
    let lean = lean_after(None, 1.0, 0.0);
    assert_eq!(lean, LiveLean::missing(Missing::Unmounted));
}
