//! Allan deviation: the printed examples of NIST SP 1065, pages 107 and 108, as
//! quoted by the tests of the open package allantools, and noise of known size.

use hubplumb_core::allan::{Grid, NoiseKind, NoiseTerms, Phase, Unseen};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};

type Deviation = fn(&Phase, usize) -> Option<f64>;
const PLAIN: Deviation = |phase, m| Some(phase.plain(m)?.deviation);
const OVERLAPPING: Deviation = |phase, m| Some(phase.overlapping(m)?.deviation);

#[track_caller]
fn check(phase: &Phase, kind: Deviation, m: usize, printed: f64) {
    let found = kind(phase, m).unwrap();
    // Seven digits are printed.
    assert!(
        (found / printed - 1.0).abs() < 1e-6,
        "m = {m}: {found}, printed {printed}"
    );
}

#[test]
fn ten_points_of_phase_and_nine_of_frequency() {
    let phase = Phase::from_values(
        vec![
            0.0, 103.111_11, 123.222_22, 157.333_33, 166.444_44, 48.555_55, -96.333_33, -2.222_22,
            111.888_89, 0.0,
        ],
        1.0,
    )
    .unwrap();
    let readings = [
        892.0, 809.0, 823.0, 798.0, 671.0, 644.0, 883.0, 903.0, 677.0,
    ];
    for phase in [phase, Phase::from_readings(&readings, 1.0).unwrap()] {
        check(&phase, PLAIN, 1, 91.229_45);
        check(&phase, PLAIN, 2, 115.8082);
        check(&phase, OVERLAPPING, 1, 91.229_45);
        check(&phase, OVERLAPPING, 2, 85.952_87);
    }
}

#[test]
fn a_thousand_points_of_the_printed_generator() {
    let mut n: u64 = 1_234_567_890;
    let readings: Vec<f64> = (0..1000)
        .map(|_| {
            let reading = n as f64 / 2_147_483_647.0;
            n = 16_807 * n % 2_147_483_647;
            reading
        })
        .collect();
    let phase = Phase::from_readings(&readings, 1.0).unwrap();
    check(&phase, PLAIN, 1, 0.292_231_9);
    check(&phase, PLAIN, 10, 0.099_657_36);
    check(&phase, PLAIN, 100, 0.038_978_04);
    check(&phase, OVERLAPPING, 1, 0.292_231_9);
    check(&phase, OVERLAPPING, 10, 0.091_599_53);
    check(&phase, OVERLAPPING, 100, 0.032_413_43);
}

/// Readings of white noise and of a rate that walks.
fn readings(seed: u64, count: usize, interval_s: f64, density: f64, walk: f64) -> Vec<f64> {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    let mut normal = move || -> f64 { StandardNormal.sample(&mut rng) };
    // One-sided density over the band of the readings; a walk's step over an interval.
    let white = density / (2.0 * interval_s).sqrt();
    let step = walk * interval_s.sqrt();
    let mut rate = 0.0;
    (0..count)
        .map(|_| {
            rate += step * normal();
            rate + white * normal()
        })
        .collect()
}

fn terms(seed: u64, count: usize, density: f64, walk: f64) -> NoiseTerms {
    let readings = readings(seed, count, 0.01, density, walk);
    let phase = Phase::from_readings(&readings, 0.01).unwrap();
    NoiseTerms::read(&phase.curve(Grid::Octave))
}

#[test]
fn white_noise_of_known_density_is_recovered() {
    // 400 µg/√Hz at 100 Hz over 200 s, 40 times: within the uncertainty stated.
    let mut within_two = 0;
    for seed in 0..40 {
        let found = terms(seed, 20_000, 400e-6, 0.0);
        let density = found.density_one_sided().unwrap();
        let off = (density.value - 400e-6).abs() / density.standard;
        assert!(off < 4.0, "{seed}: {density:?}");
        within_two += usize::from(off < 2.0);
        assert!((density.standard / density.value) < 0.01, "{density:?}");
        assert!(
            matches!(found.bias_instability, Err(Unseen::StillFalling { .. })),
            "{seed}: {found:?}"
        );
        assert!(
            matches!(found.rate_random_walk, Err(Unseen::NoSuchSlope { .. })),
            "{seed}: {found:?}"
        );
    }
    assert!(within_two >= 34, "{within_two} of 40 within two sigma");
}

#[test]
fn a_rate_that_walks_shows_its_floor_and_its_rise() {
    // N = 1e-3 (one-sided √2 of it), K = 3e-3: the lowest is √(2 N K / √3) at √3 N/K = 0.58 s.
    let (n, k) = (1e-3_f64, 3e-3_f64);
    let floor = (2.0 * n * k / 3f64.sqrt()).sqrt() / 0.664;
    for seed in 0..20 {
        let found = terms(seed, 60_000, n * 2f64.sqrt(), k);
        let check =
            |what: &str, term: hubplumb_core::allan::NoiseTerm, expected: f64, bend: f64| {
                // Where two slopes meet the curve bends: that share is not noise.
                let off = (term.value - expected).abs();
                assert!(
                    off < 3.0 * term.standard + bend * expected,
                    "{seed}: {what} {term:?}, expected {expected}"
                );
            };
        check("N", found.density.unwrap(), n, 0.05);
        check("K", found.rate_random_walk.unwrap(), k, 0.10);
        check("B", found.bias_instability.unwrap(), floor, 0.05);
    }
}

#[test]
fn a_record_too_short_says_so() {
    let found = terms(1, 30, 400e-6, 0.0);
    for term in [found.bias_instability, found.rate_random_walk] {
        assert!(matches!(term, Err(Unseen::TooShort { .. })), "{term:?}");
    }
    assert_eq!(
        NoiseTerms::read(&[]).density,
        Err(Unseen::TooShort {
            found: 0,
            needed: 3
        })
    );
}

#[test]
fn the_stated_degrees_of_freedom_are_those_of_the_scatter() {
    // White noise, 400 records of 513 values: scatter of the square against 2/ν.
    for (m, within) in [(1, 0.2), (8, 0.2), (64, 0.25)] {
        let squares: Vec<(f64, f64)> = (0..400)
            .map(|seed| {
                let phase =
                    Phase::from_readings(&readings(1000 + seed, 512, 1.0, 1.0, 0.0), 1.0).unwrap();
                let point = phase.overlapping(m).unwrap();
                (point.deviation.powi(2), point.freedom(NoiseKind::White))
            })
            .collect();
        let count = squares.len() as f64;
        let mean = squares.iter().map(|(s, _)| s).sum::<f64>() / count;
        let variance = squares.iter().map(|(s, _)| (s - mean).powi(2)).sum::<f64>() / (count - 1.0);
        let found = 2.0 * mean * mean / variance;
        let stated = squares[0].1;
        assert!(
            (found / stated - 1.0).abs() < within,
            "m = {m}: {found}, stated {stated}"
        );
    }
}
