//! Readings of one board where those of another are awaited.

use hubplumb_core::chip::ChipFigures;
use hubplumb_core::side::Side;
use hubplumb_core::swing::{Refusal, SteerSource, SwingProcedure};

use crate::made_car::{Corner, Moment, swing_profile};
use crate::{LEFT, STOPS, check_angles, setup};

/// Swapped boards see caster of the wrong sign; a car with hardly any caster is not taken for that.
#[test]
fn boards_on_the_wrong_sides_are_told_from_little_caster() {
    let right = Corner { sign: -1.0, ..LEFT };
    for (caster, is_swapped) in [(5.0, true), (0.5, false), (5.0, false)] {
        let corners = [LEFT, right].map(|corner| Corner { caster, ..corner });
        let profile = swing_profile(&STOPS, 2.0);
        let [mut left, mut right] = corners.map(|corner| {
            let moment = |t: f64| Moment {
                steer: profile(t),
                roll_on_spindle: 0.0,
            };
            corner.readings(27.0, moment, [0.02, -0.05, 0.01])
        });
        if is_swapped {
            std::mem::swap(&mut left, &mut right);
        }
        let made = setup(&corners, SteerSource::Gyro, ChipFigures::GOOD);
        let mut procedure = SwingProcedure::start(made).unwrap();
        for (left, right) in left.iter().zip(&right) {
            procedure.sample(Side::Left, left);
            procedure.sample(Side::Right, right);
        }
        for outcome in procedure.outcome() {
            let told = matches!(outcome, Err(Refusal::SidesSwapped { .. }));
            assert_eq!(told, is_swapped, "caster {caster}: {outcome:?}");
        }
    }
}

/// Nothing tells whether the first rest or all others are of this wheel, so not even camber is stated.
#[test]
fn a_first_rest_that_was_of_another_board_takes_camber_with_it() {
    let other = Corner {
        camber: 0.4,
        ..LEFT
    };
    let profile = swing_profile(&STOPS, 2.0);
    for (mixed_until_s, stated) in [(5.0, false), (0.0, true)] {
        let streams = [other, LEFT].map(|corner| {
            let moment = |t: f64| Moment {
                steer: profile(t),
                roll_on_spindle: 0.0,
            };
            corner.readings(27.0, moment, [0.02, -0.05, 0.01])
        });
        let made = setup(&[LEFT], SteerSource::Gyro, ChipFigures::GOOD);
        let mut procedure = SwingProcedure::start(made).unwrap();
        for (another, own) in streams[0].iter().zip(&streams[1]) {
            let before = own.at.us() < (mixed_until_s * 1e6) as i64;
            procedure.sample(Side::Left, if before { another } else { own });
        }
        match &procedure.outcome()[0] {
            Ok(outcome) => {
                assert!(stated, "{outcome:?}");
                check_angles(&LEFT, outcome, 0.05);
            }
            Err(refusal) => assert!(
                !stated && matches!(refusal, Refusal::BoardSlipped { .. }),
                "{refusal}"
            ),
        }
    }
}
