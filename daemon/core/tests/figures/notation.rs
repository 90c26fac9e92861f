//! What people type, row by row.

use hubplumb_core::angle::Angle;
use hubplumb_core::length::Length;
use hubplumb_core::notation::{
    Accepted, AngleForm, LengthUnit, NotationError, Problem, Reference, ToeUnit, Wheels,
    read_angle, read_length, read_toe, write_angle, write_inch_fraction, write_length, write_toe,
};

use super::near;

use AngleForm::{Degrees, DegreesMinutes, Minutes};
use LengthUnit::{Inch, Metre, Millimetre};

#[test]
fn angles_are_read_as_meant() {
    for (text, form, minutes) in [
        ("1.25", Degrees, 75.0),
        ("1,25", Degrees, 75.0),
        ("-0,5°", Degrees, -30.0),
        ("\u{2212}0.5 °", Minutes, -30.0),
        ("+ 2 deg", Minutes, 120.0),
        ("1°30'", Degrees, 90.0),
        ("1° 30′", Minutes, 90.0),
        ("1°30", Degrees, 90.0),
        ("1 30", Degrees, 90.0),
        ("1 deg 30 min", Degrees, 90.0),
        ("-0°12'", Degrees, -12.0),
        ("-0 12", DegreesMinutes, -12.0),
        ("12'", Degrees, 12.0),
        ("-12.5'", DegreesMinutes, -12.5),
        ("12", Minutes, 12.0),
        ("12", DegreesMinutes, 720.0),
        ("1.5°", DegreesMinutes, 90.0),
        ("12°52’", DegreesMinutes, 772.0),
        (" 0,125 ", Degrees, 7.5),
        (".5", Degrees, 30.0),
        ("1.125°", Degrees, 67.5),
        ("0", DegreesMinutes, 0.0),
    ] {
        let found = read_angle(text, form).unwrap();
        near(text, found.deg() * 60.0, minutes, 1e-9);
    }
}

fn unexpected(at: usize, found: Option<char>, accepted: &'static [Accepted]) -> NotationError {
    let problem = Problem::Unexpected { found, accepted };
    NotationError { at, problem }
}

#[test]
fn angles_that_say_two_things_or_none_are_refused() {
    const END: &[Accepted] = &[
        Accepted::DegreeMark,
        Accepted::MinuteMark,
        Accepted::Minutes,
        Accepted::End,
    ];
    const START: &[Accepted] = &[Accepted::Sign, Accepted::Digit];
    let wrong = |at, problem| NotationError { at, problem };
    for (text, form, expected) in [
        ("", Degrees, wrong(0, Problem::Empty)),
        ("   ", Degrees, wrong(3, Problem::Empty)),
        ("1.30", DegreesMinutes, wrong(1, Problem::DecimalsOrMinutes)),
        ("1,080", Degrees, wrong(1, Problem::ThousandsOrDecimal)),
        ("1.080,5", Degrees, wrong(5, Problem::ThousandsOrDecimal)),
        ("1°75'", Degrees, wrong(2, Problem::MinutesTooMany)),
        ("2 600", Degrees, wrong(2, Problem::MinutesTooMany)),
        ("1.5°30'", Degrees, wrong(4, Problem::MinutesAfterDecimals)),
        (
            "1234567890123456",
            Degrees,
            wrong(0, Problem::TooManyDigits),
        ),
        ("abc", Degrees, unexpected(0, Some('a'), START)),
        ("-", Degrees, unexpected(1, None, START)),
        ("1.", Degrees, unexpected(2, None, &[Accepted::Digit])),
        ("1x", Degrees, unexpected(1, Some('x'), END)),
        ("0°-12'", Degrees, unexpected(2, Some('-'), END)),
        ("1°30'15\"", Degrees, unexpected(5, Some('1'), END)),
        ("1e3", Degrees, unexpected(1, Some('e'), END)),
        ("NaN", Degrees, unexpected(0, Some('N'), START)),
        ("٣", Degrees, unexpected(0, Some('٣'), START)),
    ] {
        assert_eq!(read_angle(text, form), Err(expected), "{text:?}");
    }
}

#[test]
fn lengths_are_read_as_meant() {
    for (text, bare, mm) in [
        ("2,5 mm", Inch, 2.5),
        ("2.5", Millimetre, 2.5),
        ("-2.5mm", Millimetre, -2.5),
        ("1/16 in", Millimetre, 1.5875),
        ("1 1/8\"", Millimetre, 28.575),
        ("1 1/8", Inch, 28.575),
        ("-1/32″", Millimetre, -0.793_75),
        ("28.65 inches", Millimetre, 727.71),
        ("2.125 in", Millimetre, 53.975),
        ("2600", Millimetre, 2600.0),
        ("2.600 m", Millimetre, 2600.0),
        ("2,6", Metre, 2600.0),
        ("0,125 MM", Metre, 0.125),
        ("45 cm", Millimetre, 450.0),
    ] {
        near(text, read_length(text, bare).unwrap().mm(), mm, 1e-9);
    }
}

#[test]
fn lengths_that_say_two_things_or_none_are_refused() {
    const LENGTH_END: &[Accepted] = &[Accepted::LengthUnit, Accepted::FractionBar, Accepted::End];
    let wrong = |at, problem| NotationError { at, problem };
    for (text, expected) in [
        ("2,600 mm", wrong(1, Problem::ThousandsOrDecimal)),
        ("2.600", wrong(1, Problem::ThousandsOrDecimal)),
        ("2,125 in", wrong(1, Problem::ThousandsOrDecimal)),
        ("1.234.567", wrong(5, Problem::ThousandsOrDecimal)),
        (
            "2 600 mm",
            unexpected(5, Some(' '), &[Accepted::FractionBar]),
        ),
        ("1/0 in", wrong(2, Problem::ZeroDenominator)),
        ("1/2 mm", wrong(1, Problem::FractionNotOfInches)),
        ("1 1/2", wrong(3, Problem::FractionNotOfInches)),
        ("1/", unexpected(2, None, &[Accepted::Digit])),
        ("2'600", unexpected(1, Some('\''), LENGTH_END)),
        ("3 ft", unexpected(2, Some('f'), LENGTH_END)),
        ("3 mmm", unexpected(2, Some('m'), LENGTH_END)),
        ("3 mm x", unexpected(5, Some('x'), LENGTH_END)),
        (
            "m",
            unexpected(0, Some('m'), &[Accepted::Sign, Accepted::Digit]),
        ),
    ] {
        assert_eq!(read_length(text, Millimetre), Err(expected), "{text:?}");
    }
}

fn reference(wheels: Wheels, diameter_inch: f64) -> Reference {
    Reference {
        wheels,
        diameter: Some(Length::from_inch(diameter_inch)),
    }
}

#[test]
fn toe_is_read_in_every_unit() {
    let one = reference(Wheels::One, 16.0);
    let axle = reference(Wheels::Axle, 28.65);
    let mm = ToeUnit::Length(Millimetre);
    for (text, bare, reference, deg, within) in [
        // 1988 Lincoln: 1/16 in = 0.125° at 28.65 in.
        ("1/16 in", mm, axle, 0.125, 5e-4),
        // Derived: 1.2 mm at 406.4 mm.
        ("1,2 mm", mm, one, 0.1692, 5e-5),
        ("1.2", mm, one, 0.1692, 5e-5),
        // Derived: 5 m/km is 0.2865°, 30 ft/mile 0.3255°.
        ("5 m/km", mm, one, 0.2865, 5e-5),
        ("-5 mm/m", mm, one, -0.2865, 5e-5),
        ("30 ft/mile", mm, one, 0.3255, 5e-5),
        ("30", ToeUnit::FeetPerMile, one, 0.3255, 5e-5),
        ("5", ToeUnit::MetresPerKilometre, one, 0.2865, 5e-5),
        ("10'", mm, one, 10.0 / 60.0, 1e-9),
        ("-0°12'", mm, one, -0.2, 1e-9),
        ("0 12", ToeUnit::Angle(Degrees), one, 0.2, 1e-9),
        ("0.2°", ToeUnit::MetresPerKilometre, one, 0.2, 1e-9),
        ("0.2 deg", mm, one, 0.2, 1e-9),
    ] {
        near(
            text,
            read_toe(text, bare, &reference).unwrap().deg(),
            deg,
            within,
        );
    }
}

#[test]
fn toe_that_refers_to_nothing_is_refused() {
    let nothing = Reference {
        wheels: Wheels::One,
        diameter: None,
    };
    let check = |text: &str, reference: &Reference, at: usize, problem: Problem| {
        let found = read_toe(text, ToeUnit::Length(Millimetre), reference);
        assert_eq!(found, Err(NotationError { at, problem }), "{text:?}");
    };
    check("2 mm", &nothing, 4, Problem::DiameterMissing);
    check("2", &nothing, 1, Problem::DiameterMissing);
    check(
        "900 mm",
        &reference(Wheels::One, 16.0),
        6,
        Problem::BeyondDiameter,
    );
    check("1.080,5 m/km", &nothing, 5, Problem::ThousandsOrDecimal);
    let mm = ToeUnit::Length(Millimetre);
    assert_eq!(write_toe(Angle::ZERO, mm, &nothing, 1), None);
}

#[test]
fn figures_are_printed_for_people() {
    let deg = Angle::from_deg;
    for (angle, form, decimals, expected) in [
        (deg(-0.2), DegreesMinutes, 0, "\u{2212}0°12′"),
        (deg(1.5), DegreesMinutes, 0, "1°30′"),
        (deg(1.0 + 5.0 / 60.0), DegreesMinutes, 0, "1°05′"),
        // Never sixty minutes.
        (deg(1.999), DegreesMinutes, 0, "2°00′"),
        (
            deg(-12.0 - 52.25 / 60.0),
            DegreesMinutes,
            1,
            "\u{2212}12°52.3′",
        ),
        (deg(-0.001), DegreesMinutes, 0, "0°00′"),
        (deg(-0.001), Degrees, 2, "0.00°"),
        (deg(-0.125), Degrees, 3, "\u{2212}0.125°"),
        (deg(0.2), Minutes, 0, "12′"),
    ] {
        assert_eq!(write_angle(angle, form, decimals), expected);
    }
    let inch = Length::from_inch;
    for (length, parts, expected) in [
        (inch(1.0 / 16.0), 32, "1/16 in"),
        (inch(1.125), 32, "1 1/8 in"),
        (inch(-0.5), 32, "\u{2212}1/2 in"),
        (inch(1.99), 32, "2 in"),
        (inch(-0.001), 32, "0 in"),
        (inch(0.4), 0, "0 in"),
    ] {
        assert_eq!(write_inch_fraction(length, parts), expected);
    }
    assert_eq!(
        write_length(Length::from_mm(-2.5), Millimetre, 1),
        "\u{2212}2.5 mm"
    );
    // Three decimals could be taken for thousands.
    assert_eq!(write_length(Length::from_mm(2.5), Millimetre, 3), "2.50 mm");
    let slip = write_toe(
        deg(0.2865),
        ToeUnit::MetresPerKilometre,
        &reference(Wheels::One, 16.0),
        1,
    );
    assert_eq!(slip.unwrap(), "5.0 m/km");
}
