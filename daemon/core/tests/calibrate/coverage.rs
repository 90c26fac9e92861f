//! Are the stated uncertainties true? Many boards, each drawn anew.

use hubplumb_core::calibrate::{Parameter, fit_poses};

use crate::made_board::{Dice, FACES, MadeBoard, twelve};

const BOARDS: u64 = 600;
/// Spread of a cross-axis term that the prior stands for: 20 mrad per pair of axes, two in the mean.
const CROSS_RAD: f64 = 0.02 * std::f64::consts::FRAC_1_SQRT_2;

/// Share of the numbers that lie within 1.96 standard uncertainties.
fn share_within(seed: u64, ups: &[[f64; 3]], noise_g: f64) -> f64 {
    let (mut within, mut all) = (0_u32, 0_u32);
    for board in 0..BOARDS {
        let mut dice = Dice::new(seed + board);
        let made = MadeBoard::random(&mut dice, 0.03, 0.015, CROSS_RAD);
        let poses = made.poses(&mut dice, ups, 0.07, noise_g);
        let fit = fit_poses(&poses).unwrap();
        for (parameter, truth) in Parameter::ALL.into_iter().zip(made.numbers()) {
            let off = (fit.value(parameter) - truth).abs();
            within += u32::from(off <= 1.96 * fit.standard(parameter));
            all += 1;
        }
    }
    f64::from(within) / f64::from(all)
}

#[test]
fn stated_intervals_hold_the_truth_as_often_as_they_say() {
    let nine = [&FACES[..], &twelve()[6..9]].concat();
    let eight = [&FACES[..], &twelve()[6..8]].concat();
    let cases = [
        ("twelve poses", 10_000, twelve(), 2e-4),
        ("nine poses", 20_000, nine, 2e-4),
        ("eight poses and a prior", 30_000, eight, 2e-4),
        ("six poses and a prior", 40_000, FACES.to_vec(), 2e-4),
        ("twelve noisy poses", 50_000, twelve(), 1e-3),
    ];
    for (what, seed, ups, noise_g) in cases {
        let share = share_within(seed, &ups, noise_g);
        println!("{what}: {:.2} % within 1.96 sigma", 100.0 * share);
        assert!((0.93..=0.97).contains(&share), "{what}: {share}");
    }
}
