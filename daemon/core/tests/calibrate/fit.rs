//! What a fit recovers, and what it refuses.

use hubplumb_core::calibrate::{Face, FitError, Parameter, Pose, fit_poses};
use hubplumb_core::calibration::CalibrationError;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::RawSample;
use hubplumb_core::time::HostTime;
use proptest::prelude::*;

use crate::made_board::{Dice, FACES, MadeBoard, twelve};

const NOISE_G: f64 = 1e-4;

fn made() -> MadeBoard {
    MadeBoard {
        offset_g: [0.04, -0.03, 0.06],
        scale: [0.02, -0.015, 0.03],
        cross: [0.01, -0.012, 0.004],
    }
}

proptest! {
    #[test]
    fn any_board_is_recovered_from_noisy_poses(
        seed in any::<u64>(),
        offset_g in prop::array::uniform3(-0.1..0.1f64),
        scale in prop::array::uniform3(-0.05..0.05f64),
        cross in prop::array::uniform3(-0.03..0.03f64),
    ) {
        let made = MadeBoard { offset_g, scale, cross };
        let poses = made.poses(&mut Dice::new(seed), &twelve(), 0.05, NOISE_G);
        let fit = fit_poses(&poses).unwrap();
        for (parameter, truth) in Parameter::ALL.into_iter().zip(made.numbers()) {
            let sigmas = (fit.value(parameter) - truth).abs() / fit.standard(parameter);
            // One in 1.6 million beyond 5 by chance.
            prop_assert!(sigmas < 5.0, "{parameter:?} off by {sigmas} sigma");
            prop_assert!(fit.standard(parameter) < 3.0 * NOISE_G, "{parameter:?}");
        }
        prop_assert!(fit.quality().residual_rms_g < 3.0 * NOISE_G);
    }

    #[test]
    fn exact_poses_are_solved_exactly_and_undone_by_the_calibration(
        offset_g in prop::array::uniform3(-0.1..0.1f64),
        scale in prop::array::uniform3(-0.05..0.05f64),
        cross in prop::array::uniform3(-0.03..0.03f64),
        force in prop::array::uniform3(-1.0..1.0f64),
    ) {
        let made = MadeBoard { offset_g, scale, cross };
        let fit = fit_poses(&made.poses(&mut Dice::new(1), &twelve(), 0.05, 0.0)).unwrap();
        for (parameter, truth) in Parameter::ALL.into_iter().zip(made.numbers()) {
            prop_assert!((fit.value(parameter) - truth).abs() < 1e-10, "{parameter:?}");
        }
        let raw = RawSample {
            at: HostTime::from_us(0),
            accel_g: Vec3::from_array(made.read(force)),
            rate_radps: None,
            temperature_c: None,
        };
        let seen = fit.calibration().apply(&raw).accel_g;
        prop_assert!((seen - Vec3::from_array(force)).norm() < 1e-9);
    }
}

#[test]
fn a_general_error_matrix_leaves_a_rotation_and_nothing_else() {
    // An upper triangular error: read = true + (0, 0.02 x, 0) has the symmetric
    // part 0.01 in the matrix and turns by 0.01.
    let poses: Vec<Pose> = made_forces()
        .into_iter()
        .map(|[x, y, z]| crate::made_board::pose([x, y + 0.02 * x, z], 0.0))
        .collect();
    let fit = fit_poses(&poses).unwrap();
    assert!(
        (fit.value(Parameter::CrossXY) + 0.01).abs() < 2e-4,
        "{fit:?}"
    );
    let seen: Vec<Vec3<_>> = poses
        .iter()
        .map(|pose| {
            let raw = RawSample {
                at: HostTime::from_us(0),
                accel_g: pose.accel_g,
                rate_radps: None,
                temperature_c: None,
            };
            fit.calibration().apply(&raw).accel_g
        })
        .collect();
    for (a, force_a) in seen.iter().zip(made_forces()) {
        for (b, force_b) in seen.iter().zip(made_forces()) {
            let kept: f64 = (0..3).map(|i| force_a[i] * force_b[i]).sum();
            assert!((a.dot(b) - kept).abs() < 1e-9, "{a:?} {b:?}");
        }
    }
    let turned = seen[0].y() / seen[0].x();
    assert!((turned - 0.01).abs() < 2e-4, "{turned}");
}

fn made_forces() -> Vec<[f64; 3]> {
    let exact = MadeBoard {
        offset_g: [0.0; 3],
        scale: [0.0; 3],
        cross: [0.0; 3],
    };
    exact
        .poses(&mut Dice::new(3), &twelve(), 0.0, 0.0)
        .iter()
        .map(|pose| pose.accel_g.to_array())
        .collect()
}

#[test]
fn six_poses_leave_the_cross_axis_terms_to_the_prior_and_twelve_do_not() {
    let six = fit_poses(&made().poses(&mut Dice::new(5), &FACES, 0.0, NOISE_G)).unwrap();
    let dominated: Vec<Parameter> = six.prior_dominated().collect();
    assert_eq!(dominated, Parameter::CROSSES);
    assert_eq!(six.quality().degrees_of_freedom, 0);
    assert_eq!(six.quality().worst, None);
    let twelve = fit_poses(&made().poses(&mut Dice::new(5), &twelve(), 0.0, NOISE_G)).unwrap();
    assert_eq!(twelve.prior_dominated().count(), 0);
    assert_eq!(twelve.cross_prior_rad(), None);
    assert_eq!(twelve.quality().degrees_of_freedom, 3);
    println!("numbers: six poses, twelve poses (standard uncertainties)");
    for parameter in Parameter::ALL {
        println!(
            "{parameter:?}: {:.2e} {:.2e}",
            six.standard(parameter),
            twelve.standard(parameter)
        );
    }
    for cross in Parameter::CROSSES {
        assert!((six.standard(cross) / (0.02 / 2f64.sqrt()) - 1.0).abs() < 0.01);
        assert!(twelve.standard(cross) < 2.0 * NOISE_G);
    }
    let [a, b] = [&six, &twelve].map(|fit| fit.figures(&ChipFigures::RAW));
    assert!(a.accel_cross_rad > 0.014 && b.accel_cross_rad < 2e-4);
    assert!(b.accel_offset_g < NOISE_G && b.accel_scale < 2.0 * NOISE_G);
}

#[test]
fn figures_hold_the_warming_during_the_poses() {
    let mut poses = made().poses(&mut Dice::new(6), &twelve(), 0.0, NOISE_G);
    let cold = fit_poses(&poses).unwrap().figures(&ChipFigures::CHEAP);
    for (index, pose) in poses.iter_mut().enumerate() {
        pose.temperature_c = Some(20.0 + index as f64);
        pose.rate_radps = Some(Vec3::new(0.01, -0.02, 0.03));
    }
    let fit = fit_poses(&poses).unwrap();
    assert_eq!(fit.warmth().unwrap().mean_c, 25.5);
    assert_eq!(fit.warmth().unwrap().span_c, 11.0);
    let warm = fit.figures(&ChipFigures::CHEAP);
    let expected = cold
        .accel_offset_g
        .hypot(ChipFigures::CHEAP.accel_tempco_g_per_c * 11.0 / 12f64.sqrt());
    assert!((warm.accel_offset_g - expected).abs() < 1e-12, "{warm:?}");
    assert!(warm.drifted(10.0, 30.0).accel_offset_g > 3e-3);
    let offset = fit.calibration().gyro_offset_radps();
    for (found, expected) in offset.into_iter().zip([0.01, -0.02, 0.03]) {
        assert!((found - expected).abs() < 1e-15, "{offset:?}");
    }
}

#[test]
fn leaving_a_pose_out_is_foretold_without_leaving_it_out() {
    let mut poses = made().poses(&mut Dice::new(8), &twelve(), 0.03, NOISE_G);
    poses[7].accel_g = poses[7].accel_g * 1.0015;
    let all = fit_poses(&poses).unwrap();
    let worst = all.quality().worst.unwrap();
    assert_eq!(worst.pose, 7);
    assert!(worst.sigmas > 5.0, "{worst:?}");
    let left_out = poses.remove(7);
    let rest = fit_poses(&poses).unwrap();
    let raw = RawSample {
        at: HostTime::from_us(0),
        accel_g: left_out.accel_g,
        rate_radps: None,
        temperature_c: None,
    };
    let off = rest.calibration().apply(&raw).accel_g.norm() - 1.0;
    assert!(
        (off - worst.left_out_g).abs() < 0.02 * off.abs(),
        "{off} {worst:?}"
    );
    // Such a chi² is no chance: the uncertainty is widened by it.
    assert!(all.quality().widened > 2.0, "{:?}", all.quality());
    assert_eq!(rest.quality().widened, 1.0, "{:?}", rest.quality());
}

#[test]
fn poses_without_a_calibration_are_refused() {
    let check = |poses: &[Pose], what: &str, expected: fn(&FitError) -> bool| {
        let refused = fit_poses(poses).unwrap_err();
        assert!(expected(&refused), "{what}: {refused:?}");
        println!("{what}: {refused}");
    };
    let good = made().poses(&mut Dice::new(2), &twelve(), 0.03, NOISE_G);
    check(&good[..5], "five poses", |e| {
        *e == FitError::TooFewPoses {
            found: 5,
            needed: 6,
        }
    });
    check(&good[1..9], "a face missing", |e| {
        *e == FitError::FacesMissing {
            missing: vec![Face::PlusX],
        }
    });
    let one_side: Vec<[f64; 3]> = (0..10)
        .map(|i| {
            let turn = 0.7 * f64::from(i);
            [turn.cos(), turn.sin(), 0.5 + 0.1 * f64::from(i)]
        })
        .collect();
    let lopsided = made().poses(&mut Dice::new(2), &one_side, 0.0, NOISE_G);
    check(
        &lopsided,
        "to one side",
        |e| matches!(e, FitError::IllConditioned { condition, limit } if condition > limit),
    );
    let with = |change: fn(&mut Pose)| {
        let mut poses = good.clone();
        change(&mut poses[4]);
        poses
    };
    check(&with(|pose| pose.noise_g = f64::NAN), "not a number", |e| {
        *e == FitError::NotANumber { pose: 4 }
    });
    check(
        &with(|pose| pose.accel_g = pose.accel_g * 9.8),
        "metres per second squared",
        |e| matches!(e, FitError::NotOneGravity { pose: 4, .. }),
    );
    check(
        &with(|pose| pose.accel_g = pose.accel_g * 1.03),
        "flexed",
        |e| {
            matches!(e, FitError::PosesDisagree { worst: 4, worst_g, scatter_g, limit_g }
                if (worst_g - 0.03).abs() < 0.003 && scatter_g > limit_g)
        },
    );
    let no_chip = MadeBoard {
        scale: [0.24, 0.0, 0.0],
        ..made()
    };
    let poses = no_chip.poses(&mut Dice::new(2), &twelve(), 0.0, 0.0);
    check(&poses, "no chip's scale", |e| {
        matches!(
            e,
            FitError::NoChip(CalibrationError::NotNearUnit {
                row: 0,
                column: 0,
                ..
            })
        )
    });
}

#[test]
fn noise_that_is_known_to_be_large_is_no_contradiction() {
    // 8 mg of noise scatters twelve poses beyond the 3 mg that good ones may show.
    let mut beyond = 0;
    for seed in 0..20 {
        let noisy = made().poses(&mut Dice::new(seed), &twelve(), 0.03, 8e-3);
        let fit = fit_poses(&noisy).unwrap();
        let scatter_g = fit.quality().residual_rms_g * (12.0_f64 / 3.0).sqrt();
        beyond += u32::from(scatter_g > 3e-3);
        assert!(fit.standard(Parameter::OffsetX) > 2e-3, "{fit:?}");
    }
    assert!(beyond > 10, "{beyond}");
}
