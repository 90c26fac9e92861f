//! Which board was tapped: made boards with noise of their own, taps, doors and hands.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use hubplumb_core::frames::{Board, Vec3};
use hubplumb_core::tap::{CLEAR, Jolt, TapListener, Unclear};
use hubplumb_core::time::HostTime;
use proptest::prelude::*;
use rand::SeedableRng as _;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution as _, StandardNormal};

/// A board in a garage.
#[derive(Debug, Clone)]
struct Made {
    rate_hz: f64,
    noise_g: f64,
    up: [f64; 3],
    /// Later than the others by so much, µs.
    late_us: i64,
}

/// A ringing of one board: when, how strong, what it does to the direction of gravity.
#[derive(Debug, Clone, Copy)]
struct Ring {
    board: usize,
    at_us: i64,
    peak_g: f64,
}

/// What the boards say until `until_us`, in the order in which it arrives.
fn said(boards: &[Made], rings: &[Ring], until_us: i64, seed: u64) -> Vec<(usize, i64, [f64; 3])> {
    let mut noise = ChaCha12Rng::seed_from_u64(seed);
    let mut said = Vec::new();
    for (number, board) in boards.iter().enumerate() {
        let period_us = 1e6 / board.rate_hz;
        let mut k = 0.0;
        loop {
            #[allow(
                clippy::cast_possible_truncation,
                reason = "a few seconds of microseconds"
            )]
            let at_us = (k * period_us) as i64;
            if at_us > until_us {
                break;
            }
            let mut felt = board.up;
            for ring in rings.iter().filter(|ring| ring.board == number) {
                let since_s = (at_us - ring.at_us) as f64 * 1e-6;
                if since_s >= 0.0 {
                    let strength = ring.peak_g
                        * (std::f64::consts::TAU * 35.0 * since_s + 0.6).sin()
                        * (-since_s / 0.05).exp();
                    for (axis, share) in felt.iter_mut().zip([0.3, 0.8, 0.5]) {
                        *axis += share * strength;
                    }
                }
            }
            for axis in &mut felt {
                let draw: f64 = StandardNormal.sample(&mut noise);
                *axis += board.noise_g * draw;
            }
            said.push((number, at_us, at_us + board.late_us, felt));
            k += 1.0;
        }
    }
    said.sort_by_key(|(_, _, arrives_us, _)| *arrives_us);
    let told = said.into_iter();
    told.map(|(board, at_us, _, felt)| (board, at_us, felt))
        .collect()
}

/// How far from its rest each board reads what rings, without the noise, g.
fn shown_g(boards: &[Made], rings: &[Ring], until_us: i64) -> Vec<f64> {
    let quiet: Vec<Made> = boards
        .iter()
        .map(|board| Made {
            noise_g: 0.0,
            ..board.clone()
        })
        .collect();
    let mut most = vec![0.0_f64; boards.len()];
    for (board, _, felt) in said(&quiet, rings, until_us, 0) {
        let away: Vec3<Board> =
            Vec3::from_array(felt) - Vec3::<Board>::from_array(boards[board].up);
        most[board] = most[board].max(away.norm());
    }
    most
}

fn jolts(boards: usize, said: &[(usize, i64, [f64; 3])]) -> Vec<Jolt> {
    let mut listener = TapListener::to(boards);
    said.iter()
        .filter_map(|(board, at_us, felt)| {
            let felt: Vec3<Board> = Vec3::from_array(*felt);
            listener.feel(*board, HostTime::from_us(*at_us), felt)
        })
        .collect()
}

fn made() -> impl Strategy<Value = Made> {
    (
        50.0..400.0,
        0.000_3..0.006,
        0_usize..3,
        any::<bool>(),
        0_i64..120_000,
    )
        .prop_map(|(rate_hz, noise_g, axis, flipped, late_us)| {
            let mut up = [0.0; 3];
            up[axis] = if flipped { -1.0 } else { 1.0 };
            Made {
                rate_hz,
                noise_g,
                up,
                late_us,
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn the_board_that_was_tapped_is_named(
        boards in proptest::collection::vec(made(), 1..6),
        which in any::<prop::sample::Index>(),
        peak_g in 0.6..4.0,
        reaches in 0.0..0.08,
        at_us in 1_500_000_i64..2_500_000,
        seed in any::<u64>(),
    ) {
        let tapped = which.index(boards.len());
        let rings: Vec<Ring> = (0..boards.len())
            .map(|board| Ring {
                board,
                at_us,
                peak_g: if board == tapped { peak_g } else { reaches * peak_g },
            })
            .collect();
        let until_us = at_us + 1_500_000;
        let found = jolts(boards.len(), &said(&boards, &rings, until_us, seed));
        let named = |board: usize| found.iter().any(|jolt| matches!(jolt, Jolt::Tapped { board: named, .. } if *named == board));
        // A board of some 70 readings a second can read a ringing of 35 Hz where it passes
        // through nought. It has then felt nothing that could be named, and another may be
        // that felt the little that reached it.
        let shows_g = shown_g(&boards, &rings, until_us);
        let noise_g = boards[tapped].noise_g * 3.0_f64.sqrt();
        let next_g = shows_g.iter().enumerate().filter(|(board, _)| *board != tapped).fold(0.0, |most: f64, (_, felt_g)| most.max(*felt_g));
        for other in (0..boards.len()).filter(|board| *board != tapped) {
            let strays_g = 10.0 * boards[other].noise_g.max(boards[tapped].noise_g);
            let missed = shows_g[tapped] < shows_g[other] / CLEAR + strays_g;
            prop_assert!(missed || !named(other), "{other} instead of {tapped}: {:?}", found);
        }
        if shows_g[tapped] > 0.12 + 16.0 * noise_g && shows_g[tapped] - 6.0 * noise_g > 1.2 * CLEAR * next_g {
            prop_assert_eq!(found.len(), 1, "{:?}", found);
            prop_assert!(named(tapped), "{:?}", found);
        }
    }

    #[test]
    fn a_slammed_door_names_nobody(
        boards in proptest::collection::vec(made(), 2..6),
        peak_g in 0.5..4.0,
        uneven in proptest::collection::vec(0.8..1.2, 6),
        at_us in 1_500_000_i64..2_500_000,
        seed in any::<u64>(),
    ) {
        // The same rate for all: what one board misses of a ringing between its readings is chance.
        let boards: Vec<Made> = boards.into_iter().map(|board| Made { rate_hz: 200.0, ..board }).collect();
        let rings: Vec<Ring> = (0..boards.len())
            .map(|board| Ring { board, at_us, peak_g: peak_g * uneven[board] })
            .collect();
        let found = jolts(boards.len(), &said(&boards, &rings, at_us + 1_500_000, seed));
        prop_assert_eq!(found.len(), 1, "{:?}", found);
        let alike = matches!(found[0], Jolt::Unclear(Unclear::Alike { felt_g, next_g, .. }) if felt_g < CLEAR * next_g);
        prop_assert!(alike, "{:?}", found);
    }

    #[test]
    fn resting_boards_are_never_tapped(
        boards in proptest::collection::vec(made(), 1..6),
        seed in any::<u64>(),
    ) {
        prop_assert_eq!(jolts(boards.len(), &said(&boards, &[], 8_000_000, seed)), []);
    }

    #[test]
    fn whatever_is_fed_nothing_panics_and_unknown_boards_are_passed_over(
        fed in proptest::collection::vec((0_usize..4, -1_000_000_i64..9_000_000, any::<[f64; 3]>()), 0..300),
    ) {
        let found = jolts(2, &fed);
        for jolt in found {
            let board = match jolt {
                Jolt::Tapped { board, .. } | Jolt::Unclear(Unclear::Carried { board, .. }) => board,
                Jolt::Unclear(Unclear::Alike { strongest, .. }) => strongest,
            };
            prop_assert!(board < 2);
        }
    }
}

const RESTING: Made = Made {
    rate_hz: 100.0,
    noise_g: 0.002,
    up: [0.0, 1.0, 0.0],
    late_us: 0,
};

#[test]
fn a_bouncing_finger_is_one_tap_and_the_next_tap_is_another() {
    let boards = [RESTING, RESTING];
    let ring = |board, at_us| Ring {
        board,
        at_us,
        peak_g: 1.5,
    };
    let rings = [
        ring(0, 2_000_000),
        ring(0, 2_180_000),
        ring(0, 2_400_000),
        ring(1, 3_500_000),
    ];
    let found = jolts(2, &said(&boards, &rings, 5_000_000, 7));
    let named: Vec<_> = found
        .iter()
        .map(|jolt| match jolt {
            Jolt::Tapped { board, .. } => Some(*board),
            Jolt::Unclear(_) => None,
        })
        .collect();
    assert_eq!(named, [Some(0), Some(1)], "{found:?}");
}

#[test]
fn a_board_that_rests_otherwise_afterwards_was_carried() {
    let mut all = said(
        &[RESTING],
        &[Ring {
            board: 0,
            at_us: 2_000_000,
            peak_g: 1.0,
        }],
        4_000_000,
        3,
    );
    for (_, at_us, felt) in &mut all {
        if *at_us >= 2_000_000 {
            felt.swap(1, 2);
        }
    }
    let found = jolts(1, &all);
    let carried = matches!(found[..], [Jolt::Unclear(Unclear::Carried { board: 0, turned_g })] if turned_g > 1.0);
    assert!(carried, "{found:?}");
}

#[test]
fn a_board_on_a_shaking_engine_is_heard_over_its_own_noise() {
    let shaken = Made {
        noise_g: 0.03,
        ..RESTING
    };
    let boards = [shaken, RESTING];
    assert_eq!(jolts(2, &said(&boards, &[], 10_000_000, 11)), []);
    let tap = Ring {
        board: 0,
        at_us: 4_000_000,
        peak_g: 2.5,
    };
    let found = jolts(2, &said(&boards, &[tap], 6_000_000, 11));
    assert!(
        matches!(found[..], [Jolt::Tapped { board: 0, .. }]),
        "{found:?}"
    );
}

#[test]
fn a_slow_lift_is_no_tap() {
    let mut listener = TapListener::to(1);
    for k in 0..600_i64 {
        let lift = ((k - 200) as f64 / 200.0).clamp(0.0, 1.0);
        let felt = Vec3::new(0.0, 1.0 - lift, lift);
        assert_eq!(listener.feel(0, HostTime::from_us(k * 10_000), felt), None);
    }
}
