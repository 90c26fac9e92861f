//! Where the wheels are said to stand while they turn.

use hubplumb_core::angle::Angle;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};
use hubplumb_core::swing::curve::curves;
use hubplumb_core::swing::exact::{AxisAngles, SpindlePosition, camber_curve};
use hubplumb_core::swing::{Phase, SteerSource, SwingProcedure};

use crate::made_car::{Corner, Moment, swing_profile};
use crate::{LEFT, STOPS, play, setup, side_of};

/// Camber of the corner at this steer angle, by its axis.
fn camber_of(corner: &Corner, steer: Angle) -> Angle {
    let deg = Angle::from_deg;
    let axis = AxisAngles {
        caster: deg(corner.caster),
        sai: deg(corner.sai),
    };
    let straight = SpindlePosition {
        heading: deg(corner.toe),
        camber: deg(corner.camber),
    };
    camber_curve(side_of(corner), axis, straight, steer, steer)[0].camber
}

#[test]
fn a_turning_wheel_stands_where_its_axis_takes_it_also_on_a_slope() {
    let left = Corner {
        floor_roll: 0.6,
        floor_pitch: -0.4,
        ..LEFT
    };
    let right = Corner {
        sign: -1.0,
        caster: 6.2,
        sai: 12.4,
        camber: 0.4,
        toe: -0.2,
        ..left
    };
    let corners = [left, right];
    let profile = swing_profile(&STOPS, 2.0);
    let streams = corners.map(|corner| {
        let moment = |t: f64| Moment {
            steer: profile(t),
            roll_on_spindle: 0.0,
        };
        corner.readings(27.0, moment, [0.02, -0.05, 0.01])
    });
    let made = setup(&corners, SteerSource::Gyro, ChipFigures::IDEAL);
    let mut procedure = SwingProcedure::start(made).unwrap();
    assert_eq!(procedure.progress().wheels, [None, None]);
    let mut turning = 0;
    for i in 0..streams[0].len() {
        for (corner, stream) in corners.iter().zip(&streams) {
            procedure.sample(side_of(corner), &stream[i]);
        }
        if procedure.phase() != Phase::Turning {
            continue;
        }
        turning += 1;
        for (corner, here) in corners.iter().zip(procedure.progress().wheels) {
            let here = here.unwrap();
            assert_eq!(here.side, side_of(corner));
            let steer_off = here.steer.deg() - corner.plate(profile(i as f64 * 0.01));
            let camber_off = here.camber.deg() - camber_of(corner, here.steer).deg();
            // That a turn has begun is seen a fifth of a second late, and only the stop at its
            // end makes up for what was turned until then. The two angles still belong together.
            assert!(steer_off.abs() < 0.5, "{i}: {here:?} off by {steer_off}");
            assert!(camber_off.abs() < 0.02, "{i}: {here:?} off by {camber_off}");
        }
    }
    assert!(turning > 300, "{turning}");
    for rest in procedure.rests() {
        for (corner, wheel) in corners.iter().zip(rest.wheels) {
            let off = wheel.camber.deg() - camber_of(corner, wheel.steer.unwrap()).deg();
            assert!(off.abs() < 0.01, "{wheel:?} off by {off}");
        }
    }
}

#[test]
fn a_stop_is_as_uncertain_as_its_board_sits_and_its_chip_is() {
    let at_rest = |chip: ChipFigures, seat_deg: f64| {
        let mut made = setup(&[LEFT], SteerSource::Gyro, chip);
        let wheel = &mut made.wheels[0].wheel;
        let trust = MountingTrust {
            camber: Angle::from_deg(seat_deg),
            pitch: Angle::ZERO,
            heading: Angle::ZERO,
        };
        let (out, up) = (BoardAxis::ZPlus, BoardAxis::YPlus);
        wheel.mounting = Mounting::declared(wheel.side, out, up, trust).unwrap();
        let (procedure, _) = play(made, &[LEFT], |_| 0.0, |_| 0.0, 6.0);
        procedure.rests()[0].wheels[0].camber_standard.deg()
    };
    assert!((at_rest(ChipFigures::IDEAL, 0.3) - 0.3).abs() < 0.01);
    assert!(at_rest(ChipFigures::RAW, 0.3) > at_rest(ChipFigures::GOOD, 0.3));
    assert!(at_rest(ChipFigures::GOOD, 0.3) > 0.3);
}

#[test]
fn by_plates_nothing_is_known_between_the_stops() {
    let made = setup(&[LEFT], SteerSource::Plates, ChipFigures::IDEAL);
    let (procedure, _) = play(made, &[LEFT], swing_profile(&STOPS, 2.0), |_| 0.0, 6.0);
    assert_eq!(procedure.rests().len(), 1);
    assert_eq!(procedure.progress().wheels, [None, None]);
}

#[test]
fn the_curve_of_a_swing_goes_through_its_stops() {
    let right = Corner {
        sign: -1.0,
        caster: 6.2,
        sai: 12.4,
        camber: 0.4,
        toe: -0.2,
        ..LEFT
    };
    let corners = [LEFT, right];
    let made = setup(&corners, SteerSource::Gyro, ChipFigures::IDEAL);
    let (procedure, _) = play(made, &corners, swing_profile(&STOPS, 2.0), |_| 0.0, 27.0);
    let found = curves(&procedure);
    assert_eq!(found.len(), 2);
    for (corner, curve) in corners.iter().zip(found) {
        assert_eq!((curve.side, curve.stops.len()), (side_of(corner), 4));
        assert!(curve.fitted.len() <= 41, "{}", curve.fitted.len());
        for stop in &curve.stops {
            let after = curve
                .fitted
                .iter()
                .position(|p| p.steer.rad() > stop.steer.rad());
            let after = after.unwrap();
            let (a, b) = (curve.fitted[after - 1], curve.fitted[after]);
            let share = (stop.steer - a.steer).rad() / (b.steer - a.steer).rad();
            let drawn = a.camber.deg() + (b.camber - a.camber).deg() * share;
            // Straight pieces a degree long stay within a thousandth of the curve.
            let off = drawn - stop.camber.value.deg();
            assert!(off.abs() < 0.006, "{stop:?} off by {off}");
        }
    }
}
