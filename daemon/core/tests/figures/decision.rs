//! Verdicts and probabilities against worked examples and printed tables.

use hubplumb_core::angle::Angle;
use hubplumb_core::decision::{
    Decision, Guard, Limit, Limits, LimitsError, Remedy, Verdict, conformance_probability, decide,
};
use hubplumb_core::entered::{Entered, Figure, Figures, Source};
use hubplumb_core::finding::Cause;
use hubplumb_core::gum::Uncertainty;

use super::near;

fn figure_of(value: f64, parts: &[(f64, Source)], freedom: f64) -> Figure<f64> {
    let mut all = Figures::entered([Entered::exact(value, Source::MakersData)]).unwrap();
    for (standard, source) in parts {
        let uncertainty = Uncertainty::with_freedom(*standard, freedom);
        let part = Figures::entered([Entered::with(0.0, uncertainty, *source)]).unwrap();
        all = all.beside::<1, 2>(&part).law(|[a, b]| [a + b]).unwrap();
    }
    all.figure(0)
}

fn figure(value: f64, standard: f64, freedom: f64) -> Figure<f64> {
    figure_of(value, &[(standard, Source::TapeReading)], freedom)
}

fn limits(lower: Option<f64>, upper: Option<f64>) -> Limits<f64> {
    Limits::new(lower, upper, None).unwrap()
}

#[test]
fn conformance_is_that_of_the_worked_examples() {
    // JCGM 106:2012, clause 7, all from memory: the breakdown voltage of a Zener diode,
    // −5.47 V with 0.05 V, no more than −5.40 V; the burst strength of a container,
    // 509.7 kPa with 8.6 kPa, no less than 490 kPa; the viscosity of an oil,
    // 13.6 mm²/s with 1.8 mm²/s, from 12.5 to 16.3 mm²/s.
    for (what, value, standard, lower, upper, printed) in [
        ("diode", -5.47, 0.05, None, Some(-5.40), 0.92),
        ("container", 509.7, 8.6, Some(490.0), None, 0.99),
        ("oil", 13.6, 1.8, Some(12.5), Some(16.3), 0.66),
    ] {
        let figure = figure(value, standard, f64::INFINITY);
        let found = conformance_probability(&figure, &limits(lower, upper));
        near(what, found, printed, 5e-3);
    }
}

#[test]
fn a_speed_limit_is_surely_exceeded_where_printed() {
    // JCGM 106:2012, 8.3.3 (from memory): a radar with a relative standard uncertainty
    // of 2 % shows a limit of 100 km/h to be exceeded with 99.9 % from 107 km/h on.
    let at = |speed: f64| {
        decide(
            &figure(speed, 0.02 * speed, f64::INFINITY),
            &limits(None, Some(100.0)),
            Guard::Standards(3.09),
        )
    };
    assert_eq!(at(107.0).verdict, Verdict::Outside);
    assert_eq!(at(106.0).verdict, Verdict::Undecided);
    assert!(at(107.0).conformance < 1e-3, "{:?}", at(107.0));
    assert!(at(106.0).conformance > 1e-3, "{:?}", at(106.0));
}

#[test]
fn probabilities_are_those_of_the_tables() {
    let below = |t: f64, freedom: f64| {
        let figure = figure(0.0, 1.0, freedom);
        conformance_probability(&figure, &limits(None, Some(t)))
    };
    // Normal: Φ(1) 0.841345, Φ(1.96) 0.975002, Φ(2.5) 0.993790 (standard tables).
    for (t, expected) in [(1.0, 0.841_345), (1.96, 0.975_002), (-2.5, 0.006_210)] {
        near("normal", below(t, f64::INFINITY), expected, 1e-6);
    }
    // Student, JCGM 100:2008, table G.2: 97.5 % at 12.71, 4.30, 2.57, 2.23 for 1, 2, 5, 10.
    for (freedom, t) in [(1.0, 12.71), (2.0, 4.30), (5.0, 2.57), (10.0, 2.23)] {
        near("Student", below(t, freedom), 0.975, 2e-4);
    }
    // Closed form for one degree of freedom: ½ + atan(t)/π; for two: ½ + t/(2√(2 + t²)).
    for t in [-3.0f64, -0.5, 0.0, 0.7, 4.0] {
        near(
            "ν = 1",
            below(t, 1.0),
            0.5 + t.atan() / std::f64::consts::PI,
            1e-12,
        );
        near(
            "ν = 2",
            below(t, 2.9),
            0.5 + t / (2.0 * (2.0 + t * t).sqrt()),
            1e-12,
        );
    }
}

#[test]
fn the_guard_band_parts_three_verdicts() {
    use Verdict::{Inside, Outside, Undecided};
    // Standard uncertainty 0.1: U = 0.196 on both sides of either limit.
    let check = |value: f64, lower: Option<f64>, upper: Option<f64>, verdict, nearest, margin| {
        let found = decide(
            &figure(value, 0.1, f64::INFINITY),
            &limits(lower, upper),
            Guard::Expanded,
        );
        assert_eq!(found.verdict, verdict, "{value}: {found:?}");
        assert_eq!(found.nearest, nearest, "{value}: {found:?}");
        near(
            "margin",
            found.margin.unwrap_or(f64::INFINITY),
            margin,
            1e-12,
        );
        near("U", found.guard_width, 0.196, 1e-4);
        assert_eq!(found.needed.is_some(), verdict == Undecided);
    };
    let (low, up) = (Some(-0.5), Some(0.5));
    check(0.0, low, up, Inside, Some(Limit::Lower), 0.5);
    check(0.3, low, up, Inside, Some(Limit::Upper), 0.2);
    check(0.31, low, up, Undecided, Some(Limit::Upper), 0.19);
    check(0.5, low, up, Undecided, Some(Limit::Upper), 0.0);
    check(0.69, low, up, Undecided, Some(Limit::Upper), -0.19);
    check(0.70, low, up, Outside, Some(Limit::Upper), -0.2);
    check(-0.75, low, up, Outside, Some(Limit::Lower), -0.25);
    check(-0.31, low, up, Undecided, Some(Limit::Lower), 0.19);
    // One limit alone.
    check(9.0, low, None, Inside, Some(Limit::Lower), 9.5);
    check(-0.6, low, None, Undecided, Some(Limit::Lower), -0.1);
    check(9.0, None, up, Outside, Some(Limit::Upper), -8.5);
    let none = decide(&figure(9.0, 0.1, 5.0), &limits(None, None), Guard::Expanded);
    assert_eq!((none.verdict, none.nearest), (Inside, None));
    near("conforms", none.conformance, 1.0, 0.0);
}

#[test]
fn few_degrees_of_freedom_widen_the_band() {
    // t for 4 degrees of freedom is 2.78 (JCGM 100:2008, table G.2): 0.278 kept clear.
    let at = |freedom: f64| {
        decide(
            &figure(0.25, 0.1, freedom),
            &limits(None, Some(0.5)),
            Guard::Expanded,
        )
    };
    assert_eq!(at(f64::INFINITY).verdict, Verdict::Inside);
    assert_eq!(at(4.0).verdict, Verdict::Undecided);
    near("U", at(4.0).guard_width, 0.278, 5e-4);
    // Without a guard band nothing is undecided, on the limit neither.
    for (value, expected) in [(0.5, Verdict::Inside), (0.51, Verdict::Outside)] {
        let found = decide(
            &figure(value, 0.1, 4.0),
            &limits(None, Some(0.5)),
            Guard::None,
        );
        assert_eq!(found.verdict, expected);
    }
}

#[test]
fn undecided_says_what_would_decide() {
    let parts = [
        (0.08, Source::Sensed(Cause::Floor)),
        (0.06, Source::Sensed(Cause::TiltNoise)),
        (0.02, Source::TapeReading),
    ];
    let at = |value: f64| -> Decision<f64> {
        let figure = figure_of(value, &parts, f64::INFINITY);
        decide(&figure, &limits(Some(-0.5), Some(0.5)), Guard::Expanded)
    };
    let check = |value: f64, standard: Option<f64>, remedies: &[Remedy], enough: bool| {
        let found = at(value).needed.unwrap();
        assert_eq!(found.remedies, remedies, "{value}: {found:?}");
        assert_eq!(found.enough, enough, "{value}: {found:?}");
        near(
            "u",
            found.standard.unwrap_or(0.0),
            standard.unwrap_or(0.0),
            1e-5,
        );
        assert_eq!(found.standard.is_some(), standard.is_some());
    };
    let (floor, longer, tape) = (
        Remedy::SurveyFloor,
        Remedy::LongerStops,
        Remedy::ReadTapeBetter,
    );
    // 0.14 from the limit needs 0.0714; the floor gone leaves 0.0632.
    check(0.36, Some(0.14 / 1.959_964), &[floor], true);
    check(0.64, Some(0.14 / 1.959_964), &[floor], true);
    // 0.06 needs 0.0306: noise must go as well.
    check(0.44, Some(0.06 / 1.959_964), &[floor, longer], true);
    // On the limit nothing decides.
    check(0.5, None, &[floor, longer, tape], false);
    assert!(!at(0.36).needed.unwrap().limits_too_close);
    let narrow = decide(
        &figure_of(0.0, &parts, f64::INFINITY),
        &limits(Some(-0.1), Some(0.1)),
        Guard::Expanded,
    );
    assert!(narrow.needed.unwrap().limits_too_close);
}

#[test]
fn what_was_advised_decides() {
    // The same value with the needed standard uncertainty is no longer undecided.
    for value in [0.36, 0.45, 0.55, -0.62, -0.41] {
        let limits = limits(Some(-0.5), Some(0.5));
        let first = decide(&figure(value, 0.1, 30.0), &limits, Guard::Expanded);
        let standard = first.needed.unwrap().standard.unwrap();
        let again = decide(
            &figure(value, standard * 0.999, 30.0),
            &limits,
            Guard::Expanded,
        );
        assert_ne!(again.verdict, Verdict::Undecided, "{value}");
    }
}

#[test]
fn every_source_has_a_remedy_that_fits() {
    for (source, expected) in [
        (Source::TapeReading, Remedy::ReadTapeBetter),
        (Source::Diameter, Remedy::LargerDiameter),
        (Source::StringNotParallel, Remedy::AlignStrings),
        (Source::RunOut, Remedy::TakeOutRunOut),
        (Source::TyreSideForce, Remedy::MeasureToeStanding),
        (Source::Sensed(Cause::AccelOffset), Remedy::TurnEndForEnd),
        (Source::Sensed(Cause::BodyMotion), Remedy::BodyBoard),
        (Source::Sensed(Cause::Floor), Remedy::SurveyFloor),
        (Source::Sensed(Cause::TiltNoise), Remedy::LongerStops),
    ] {
        assert_eq!(Remedy::of(source), expected, "{source:?}");
    }
}

#[test]
fn limits_that_cannot_be_are_refused() {
    let check = |lower, upper, target, expected| {
        assert_eq!(Limits::new(lower, upper, target), Err(expected));
    };
    check(Some(1.0), Some(0.0), None, LimitsError::Crossed);
    check(Some(0.0), Some(1.0), Some(1.1), LimitsError::TargetOutside);
    check(Some(f64::NAN), None, None, LimitsError::NotFinite);
    check(None, None, Some(f64::INFINITY), LimitsError::NotFinite);
    assert_eq!(Limits::at_most(-0.1), Err(LimitsError::NegativeTolerance));
    let cross = Limits::at_most(Angle::from_deg(0.5)).unwrap();
    assert_eq!(cross.lower(), Some(Angle::from_deg(-0.5)));
    assert_eq!(cross.target(), Some(Angle::ZERO));
}
