//! The worked examples of JCGM 100:2008, annex H.
//!
//! Inputs are those printed there; where a later step starts from a result that
//! was printed rounded, the tolerance is half a unit of the last digit printed.

use hubplumb_core::gum::{Correlated, Uncertainty, coverage_factor};

#[track_caller]
fn check(what: &str, found: f64, printed: f64, within: f64) {
    assert!(
        (found - printed).abs() <= within,
        "{what}: {found}, printed {printed} ± {within}"
    );
}

#[test]
fn h1_end_gauge() {
    // Nanometres. The comparison: parts with 24, 5 and 8 degrees of freedom.
    let comparison = Uncertainty::combined(&[
        Uncertainty::with_freedom(5.8, 24.0),
        Uncertainty::with_freedom(3.9, 5.0),
        Uncertainty::with_freedom(6.7, 8.0),
    ]);
    check("u(d)", comparison.standard, 9.7, 0.05);
    // 25.4 from the printed parts; the example itself has 25.6 (from memory).
    check("ν(d)", comparison.degrees_of_freedom, 25.4, 0.1);

    let length_nm = 50_000_623.0;
    let expansion_per_c = 11.5e-6;
    let offset_c = -0.1;
    // Rectangular ±0.05 °C, doubted by half: 2 degrees of freedom.
    let by_difference = Uncertainty::rectangular(0.05)
        .doubted(0.5)
        .times(length_nm * expansion_per_c);
    check("share of δθ", by_difference.standard, 16.6, 0.05);
    check("ν(δθ)", by_difference.degrees_of_freedom, 2.0, 1e-9);
    // Rectangular ±1e-6 /°C, doubted by a tenth: 50 degrees of freedom.
    let by_expansion = Uncertainty::rectangular(1e-6)
        .doubted(0.1)
        .times(length_nm * offset_c);
    check("share of δα", by_expansion.standard, 2.9, 0.05);
    check("ν(δα)", by_expansion.degrees_of_freedom, 50.0, 1e-9);

    let all = Uncertainty::combined(&[
        Uncertainty::with_freedom(25.0, 18.0),
        comparison,
        by_difference,
        by_expansion,
    ]);
    check("u(l)", all.standard, 31.66, 0.02);
    check("ν_eff", all.degrees_of_freedom, 16.75, 0.05);
    check(
        "t₉₉(16)",
        coverage_factor(all.degrees_of_freedom, 0.99).unwrap(),
        2.92,
        0.005,
    );
    // Printed as 2.92 · 32 = 93: the unrounded product is 92.5.
    check("U₉₉", all.expanded(0.99).unwrap(), 93.0, 1.0);
}

/// Five simultaneous readings: volts, milliamperes, radians.
const READINGS: [[f64; 3]; 5] = [
    [5.007, 19.663, 1.0456],
    [4.994, 19.639, 1.0438],
    [5.005, 19.640, 1.0468],
    [4.990, 19.685, 1.0428],
    [4.999, 19.678, 1.0433],
];

fn impedance([v, i_ma, phase]: &[f64; 3]) -> [f64; 3] {
    let z = v / (i_ma * 1e-3);
    [z * phase.cos(), z * phase.sin(), z]
}

#[test]
fn h2_resistance_and_reactance() {
    let means = Correlated::of_means(&READINGS).unwrap();
    let printed = [
        (4.9990, 0.0032, 5e-5),
        (19.6610, 0.0095, 5e-5),
        (1.044_46, 0.000_75, 5e-6),
    ];
    for (index, (mean, standard, within)) in printed.into_iter().enumerate() {
        check("mean", means.values()[index], mean, within);
        check("u", means.standard(index), standard, within);
    }
    for (first, second, r) in [(0, 1, -0.36), (0, 2, 0.86), (1, 2, -0.65)] {
        let found = means.correlation(first, second).unwrap();
        check("r of the means", found, r, 0.005);
    }

    let result = means.propagated(impedance).unwrap();
    let printed = [
        ("R", 127.732, 0.071),
        ("X", 219.847, 0.2955),
        ("Z", 254.260, 0.236),
    ];
    for (index, (what, value, standard)) in printed.into_iter().enumerate() {
        check(what, result.values()[index], value, 5e-4);
        // For X both 0.295 and 0.296 are in print (from memory).
        check(what, result.standard(index), standard, 0.001);
    }
    for (first, second, r) in [(0, 1, -0.588), (0, 2, -0.485), (1, 2, 0.993)] {
        let found = result.correlation(first, second).unwrap();
        check("r of the results", found, r, 0.001);
    }
}

#[test]
fn h2_from_rounded_inputs() {
    // With u and r as printed, two digits, the results carry two digits.
    let correlations = [[1.0, -0.36, 0.86], [0.0, 1.0, -0.65], [0.0, 0.0, 1.0]];
    let inputs = Correlated::from_correlations(
        [4.9990, 19.6610, 1.044_46],
        [0.0032, 0.0095, 0.000_75],
        |first, second| correlations[first][second],
    )
    .unwrap();
    let result = inputs.propagated(impedance).unwrap();
    for (index, standard) in [0.070, 0.30, 0.24].into_iter().enumerate() {
        check("u", result.standard(index), standard, 0.005);
    }
}

/// Thermometer readings and their corrections, °C.
const READ_C: [f64; 11] = [
    21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511,
];
const CORRECTION_C: [f64; 11] = [
    -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160,
];

/// Straight line through the corrections, at 20 °C, with its slope.
fn line(corrections_c: &[f64; 11]) -> [f64; 2] {
    let n = READ_C.len() as f64;
    let mean_t = READ_C.iter().map(|t| t - 20.0).sum::<f64>() / n;
    let mean_b = corrections_c.iter().sum::<f64>() / n;
    let spread: f64 = READ_C.iter().map(|t| (t - 20.0 - mean_t).powi(2)).sum();
    let slope = READ_C
        .iter()
        .zip(corrections_c)
        .map(|(t, b)| (t - 20.0 - mean_t) * (b - mean_b))
        .sum::<f64>()
        / spread;
    [mean_b - slope * mean_t, slope]
}

#[test]
fn h3_calibration_of_a_thermometer() {
    let [at_20, slope] = line(&CORRECTION_C);
    let squares: f64 = READ_C
        .iter()
        .zip(&CORRECTION_C)
        .map(|(t, b)| (b - at_20 - slope * (t - 20.0)).powi(2))
        .sum();
    let scatter = (squares / 9.0).sqrt();
    check("s", scatter, 0.0035, 5e-5);

    // Every correction has the scatter of all about the line.
    let fitted = Correlated::independent(CORRECTION_C, [scatter; 11])
        .unwrap()
        .propagated(line)
        .unwrap();
    check("y₁", fitted.values()[0], -0.1712, 5e-5);
    check("u(y₁)", fitted.standard(0), 0.0029, 5e-5);
    check("y₂", fitted.values()[1], 0.002_18, 5e-6);
    check("u(y₂)", fitted.standard(1), 0.000_67, 5e-6);
    check("r", fitted.correlation(0, 1).unwrap(), -0.930, 5e-4);

    let at_30 = fitted.propagated(|[y1, y2]| [y1 + 10.0 * y2]).unwrap();
    check("b(30)", at_30.values()[0], -0.1494, 5e-5);
    check("u(b(30))", at_30.standard(0), 0.0041, 5e-5);
    // Without the correlation it would be 0.0073.
    let apart = Correlated::independent(fitted.values(), [fitted.standard(0), fitted.standard(1)])
        .unwrap()
        .propagated(|[y1, y2]| [y1 + 10.0 * y2])
        .unwrap();
    check("u without r", apart.standard(0), 0.0073, 5e-5);
}
