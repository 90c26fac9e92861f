//! How uncertainty goes from what was entered to what follows.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Figure, Figures, Source};
use hubplumb_core::finding::Cause;
use hubplumb_core::gum::{Correlated, GumError, Uncertainty, difference};

use super::near;

fn reading(value: f64, standard: f64, source: Source) -> Entered<f64> {
    Entered::new(value, standard, source)
}

#[test]
fn resistance_reactance_and_impedance_are_those_of_the_gum() {
    // JCGM 100:2008, H.2: five readings of V (V), I (mA) and φ (rad) give R, X, Z, their
    // standard uncertainties and correlations; half a unit of the last digit printed.
    let readings = [
        [5.007, 19.663, 1.0456],
        [4.994, 19.639, 1.0438],
        [5.005, 19.640, 1.0468],
        [4.990, 19.685, 1.0428],
        [4.999, 19.678, 1.0433],
    ];
    let means = Correlated::of_means(&readings).unwrap();
    let found = Figures::correlated(&means, Source::SensedAngles, 4.0)
        .law(|[v, i, phase]| {
            let impedance = 1e3 * v / i;
            [impedance * phase.cos(), impedance * phase.sin(), impedance]
        })
        .unwrap();
    // For the second both 0.295 and 0.296 are in print (from memory).
    let printed = [(127.732, 0.071), (219.847, 0.2955), (254.260, 0.236)];
    for (index, (value, standard)) in printed.into_iter().enumerate() {
        let figure: Figure<f64> = found.figure(index);
        near("value", figure.value, value, 5e-4);
        near("u", figure.standard, standard, 1e-3);
    }
    let all = found.to_correlated().unwrap();
    for (first, second, printed) in [(0, 1, -0.588), (0, 2, -0.485), (1, 2, 0.993)] {
        near("r", all.correlation(first, second).unwrap(), printed, 1e-3);
    }
}

#[test]
fn a_budget_names_its_sources_by_share() {
    let inputs = Figures::entered([
        reading(10.0, 0.3, Source::TapeReading),
        reading(4.0, 0.4, Source::Diameter),
        reading(1.0, 0.0, Source::Width),
        reading(2.0, 0.4, Source::TapeReading),
    ])
    .unwrap();
    let sum: Figure<f64> = inputs
        .law(|[a, b, c, d]| [a + b + c + d])
        .unwrap()
        .figure(0);
    near("value", sum.value, 17.0, 1e-12);
    near("u", sum.standard, 0.41f64.sqrt(), 1e-12);
    let named: Vec<Source> = sum.budget.iter().map(|s| s.source).collect();
    // Two readings of one tape count as one source; what is certain is left out.
    assert_eq!(named, [Source::TapeReading, Source::Diameter]);
    near("share", sum.budget[0].share, 0.25 / 0.41, 1e-12);
    near("u", sum.budget[0].standard, 0.5, 1e-12);
    assert!(sum.degrees_of_freedom.is_infinite());
}

#[test]
fn freedom_goes_by_welch_and_satterthwaite() {
    let mean = Entered::mean(&[10.0, 12.0, 14.0], Source::TapeReading).unwrap();
    let other = reading(3.0, 0.0, Source::Diameter);
    let sum: Figure<f64> = Figures::entered([mean, other])
        .unwrap()
        .law(|[a, b]| [a + b])
        .unwrap()
        .figure(0);
    near("value", sum.value, 15.0, 1e-12);
    near("u", sum.standard, 2.0 / 3f64.sqrt(), 1e-12);
    near("ν", sum.degrees_of_freedom, 2.0, 1e-9);
    // t for two degrees of freedom, JCGM 100:2008, table G.2: 4.30.
    near("k", sum.coverage_factor(), 4.30, 5e-3);
    assert!(Entered::mean(&[1.0], Source::TapeReading).is_err());
}

#[test]
fn a_reading_between_two_lines_is_rectangular() {
    let read = Entered::within(100.0, 0.5, Source::TapeReading);
    near("a/√3", read.uncertainty.standard, 0.5 / 3f64.sqrt(), 1e-15);
    assert_eq!(read.uncertainty, Uncertainty::rectangular(0.5));
}

#[test]
fn no_number_goes_in_and_none_comes_out() {
    let nan = reading(f64::NAN, 0.1, Source::TapeReading);
    assert_eq!(Figures::entered([nan]), Err(GumError::NotFinite));
    let wide = reading(0.1, f64::INFINITY, Source::TapeReading);
    assert_eq!(Figures::entered([wide]), Err(GumError::NotFinite));
    let one = Figures::entered([reading(-1.0, 0.1, Source::TapeReading)]).unwrap();
    assert_eq!(one.law(|[x]| [x.sqrt()]), Err(GumError::NotFinite));
}

#[test]
fn a_difference_drops_what_both_sides_share() {
    let floor = Source::Sensed(Cause::Floor);
    let noise = Source::Sensed(Cause::TiltNoise);
    let side = |deg: f64| -> Figure<Angle> {
        let parts = [(0.04, floor), (0.03, noise)].map(|(standard, source)| {
            let standard = Angle::from_deg(standard);
            Entered::new(Angle::from_deg(deg / 2.0), standard, source)
        });
        let sum = Figures::entered(parts).unwrap().law(|[a, b]| [a + b]);
        sum.unwrap().figure(0)
    };
    let (left, right) = (side(-0.5), side(-0.8));
    let check = |correlation: f64, standard_deg: f64, largest: Source| {
        let found = left.less(&right, correlation).unwrap();
        near("value", found.value.deg(), 0.3, 1e-12);
        near("u", found.standard.deg(), standard_deg, 1e-9);
        let plain = difference(&left.estimate(), &right.estimate(), correlation).unwrap();
        near(
            "as without a budget",
            found.standard.rad(),
            plain.standard.rad(),
            1e-15,
        );
        assert_eq!(found.largest().unwrap().source, largest, "{found:?}");
    };
    check(0.0, 0.05 * 2f64.sqrt(), floor);
    // The floor alike on both sides: 0.04² of 0.05² is shared.
    check(0.64, 0.03 * 2f64.sqrt(), noise);
    assert!(left.less(&right, 1.5).is_err());
    assert!(left.less(&right, f64::NAN).is_err());
}
