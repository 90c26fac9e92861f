//! The joint solution against scipy: the same evidence, a model written anew in
//! another language and parametrisation, another solver. The cases are made by
//! `tests/reference/joint_reference.py`.

use hubplumb_core::joint::solve::solve;
use hubplumb_tests::joint_cases::{cases, evidence, list, number, there};

#[test]
fn scipy_finds_the_same_angles_and_the_same_uncertainty() {
    let cases = cases();
    assert_eq!(cases.len(), 18);
    for case in &cases {
        let name = case["name"].as_str().expect("a name");
        let solved = solve(&evidence(&case["session"])).expect("a solution");
        let found: Vec<f64> = solved.wheels.iter().flatten().map(|a| a.rad()).collect();
        let expected = list(&case["angles_rad"], number);
        let covariance = list(&case["covariance_rad2"], |row| list(row, number));
        assert_eq!(found.len(), expected.len(), "{name}");
        let mut furthest: f64 = 0.0;
        for (index, (found, expected)) in found.iter().zip(&expected).enumerate() {
            let off = (found - expected).abs();
            furthest = furthest.max(off);
            assert!(off < 1e-6, "{name}, angle {index}: {found} for {expected}");
        }
        let mut widest: f64 = 0.0;
        for (row, cells) in covariance.iter().enumerate() {
            for (column, expected) in cells.iter().enumerate() {
                let scale = (covariance[row][row] * covariance[column][column]).sqrt();
                let off = (solved.covariance_rad2[(row, column)] - expected).abs() / scale;
                widest = widest.max(off);
                assert!(
                    off < 1e-3,
                    "{name}, covariance {row} {column}: off by {off}"
                );
            }
        }
        let squares: f64 = solved.misfits.iter().map(|misfit| misfit * misfit).sum();
        let expected = number(&case["sum_of_squares"]);
        assert!(
            (squares / expected - 1.0).abs() < 1e-6,
            "{name}: {squares} for {expected}"
        );
        println!("{name}: angles within {furthest:.1e} rad, covariance within {widest:.1e}");
        for (index, bound) in there(&case["bound_rad"])
            .map(|bound| list(bound, number))
            .unwrap_or_default()
            .iter()
            .enumerate()
        {
            let stated = solved.covariance_rad2[(index, index)].sqrt();
            assert!(
                (stated / bound - 1.0).abs() < 0.01,
                "{name}, angle {index}: {stated} for {bound}"
            );
        }
    }
}
