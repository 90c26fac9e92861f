//! The same poses solved by `scipy.optimize.least_squares`: the numbers are
//! written by `calibration_reference.py`, beside them.

use hubplumb_core::calibrate::{CalibrationFit, Parameter, Pose, fit_poses};

use crate::made_board::pose;

const POSES: &str = include_str!("../../../../tests/reference/calibration_poses.csv");
const RESULTS: &str = include_str!("../../../../tests/reference/calibration_results.csv");

fn poses_of(case: &str) -> Vec<Pose> {
    POSES
        .lines()
        .skip(1)
        .filter_map(|line| line.strip_prefix(case)?.strip_prefix(','))
        .map(|line| {
            let numbers: Vec<f64> = line.split(',').map(|n| n.parse().unwrap()).collect();
            let [x, y, z, noise_g] = numbers[..] else {
                panic!("four numbers in {line}")
            };
            pose([x, y, z], noise_g)
        })
        .collect()
}

/// Value and standard uncertainty of a number of a case.
fn result_of(case: &str, number: &str) -> (f64, Option<f64>) {
    let line = RESULTS
        .lines()
        .find_map(|line| {
            line.strip_prefix(case)?
                .strip_prefix(',')?
                .strip_prefix(number)?
                .strip_prefix(',')
        })
        .unwrap();
    let (value, standard) = line.split_once(',').unwrap();
    (value.parse().unwrap(), standard.parse().ok())
}

const fn name(parameter: Parameter) -> &'static str {
    match parameter {
        Parameter::OffsetX => "offset_x",
        Parameter::OffsetY => "offset_y",
        Parameter::OffsetZ => "offset_z",
        Parameter::ScaleX => "scale_x",
        Parameter::ScaleY => "scale_y",
        Parameter::ScaleZ => "scale_z",
        Parameter::CrossXY => "cross_xy",
        Parameter::CrossXZ => "cross_xz",
        Parameter::CrossYZ => "cross_yz",
    }
}

fn check(case: &str, count: usize) -> CalibrationFit {
    let poses = poses_of(case);
    assert_eq!(poses.len(), count, "{case}");
    let fit = fit_poses(&poses).unwrap();
    for parameter in Parameter::ALL {
        let (value, standard) = result_of(case, name(parameter));
        let standard = standard.unwrap();
        let off = (fit.value(parameter) - value).abs();
        println!("{case} {parameter:?}: {:.1e} of its sigma", off / standard);
        assert!(off < 1e-4 * standard, "{case} {parameter:?} {off}");
        let ratio = fit.standard(parameter) / standard;
        assert!((ratio - 1.0).abs() < 1e-4, "{case} {parameter:?} {ratio}");
    }
    let (chi_square, _) = result_of(case, "chi_square");
    let found = fit.quality().chi_square;
    assert!((found - chi_square).abs() < 1e-5, "{case} {found}");
    fit
}

#[test]
fn poses_that_hold_everything() {
    for (case, count) in [("twelve", 12), ("nine", 9), ("fourteen", 14)] {
        assert_eq!(check(case, count).cross_prior_rad(), None, "{case}");
    }
}

#[test]
fn poses_that_need_a_prior() {
    for (case, count) in [("six", 6), ("eight", 8)] {
        assert!(check(case, count).cross_prior_rad().is_some(), "{case}");
    }
}
