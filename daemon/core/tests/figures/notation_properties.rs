//! What is printed is read back; whatever else is typed is refused or read, never more.

use hubplumb_core::angle::Angle;
use hubplumb_core::length::Length;
use hubplumb_core::notation::{
    AngleForm, LengthUnit, Reference, ToeUnit, Wheels, read_angle, read_length, read_toe,
    write_angle, write_inch_fraction, write_length, write_toe,
};
use proptest::prelude::*;

fn form() -> impl Strategy<Value = AngleForm> {
    prop_oneof![
        Just(AngleForm::Degrees),
        Just(AngleForm::DegreesMinutes),
        Just(AngleForm::Minutes)
    ]
}

fn unit() -> impl Strategy<Value = LengthUnit> {
    prop_oneof![
        Just(LengthUnit::Millimetre),
        Just(LengthUnit::Centimetre),
        Just(LengthUnit::Metre),
        Just(LengthUnit::Inch)
    ]
}

fn toe_unit() -> impl Strategy<Value = ToeUnit> {
    prop_oneof![
        form().prop_map(ToeUnit::Angle),
        unit().prop_map(ToeUnit::Length),
        Just(ToeUnit::MetresPerKilometre),
        Just(ToeUnit::FeetPerMile)
    ]
}

fn wheels() -> impl Strategy<Value = Wheels> {
    prop_oneof![Just(Wheels::One), Just(Wheels::Axle)]
}

/// Half a unit of the last place, and what rounding of the arithmetic adds.
fn half_place(unit: f64, decimals: usize) -> f64 {
    0.5001 * unit * 10f64.powi(-i32::try_from(decimals).unwrap()) + 1e-9
}

proptest! {
    #[test]
    fn a_printed_angle_is_read_back(
        deg in -1000.0..1000.0f64,
        printed in form(),
        bare in form(),
        decimals in 0usize..=6,
    ) {
        let text = write_angle(Angle::from_deg(deg), printed, decimals);
        let found = read_angle(&text, bare).unwrap();
        let smallest = if printed == AngleForm::Degrees { 1.0 } else { 1.0 / 60.0 };
        prop_assert!((found.deg() - deg).abs() <= half_place(smallest, decimals), "{text}");
        prop_assert_eq!(write_angle(found, printed, decimals), text);
    }

    #[test]
    fn a_printed_length_is_read_back(
        mm in -9000.0..9000.0f64,
        printed in unit(),
        bare in unit(),
        decimals in 0usize..=6,
    ) {
        let text = write_length(Length::from_mm(mm), printed, decimals);
        let found = read_length(&text, bare).unwrap();
        let decimals = if printed == LengthUnit::Millimetre { decimals.min(2) } else { decimals };
        let per_unit = match printed {
            LengthUnit::Millimetre => 1.0,
            LengthUnit::Centimetre => 10.0,
            LengthUnit::Metre => 1000.0,
            LengthUnit::Inch => 25.4,
        };
        prop_assert!((found.mm() - mm).abs() <= half_place(per_unit, decimals), "{text}");
        prop_assert_eq!(write_length(found, printed, decimals), text);
    }

    #[test]
    fn a_printed_fraction_is_read_back(
        inch in -100.0..100.0f64,
        parts in prop_oneof![Just(1u32), Just(2), Just(8), Just(10), Just(16), Just(32), Just(64)],
    ) {
        let text = write_inch_fraction(Length::from_inch(inch), parts);
        let found = read_length(&text, LengthUnit::Millimetre).unwrap();
        prop_assert!((found.inch() - inch).abs() <= 0.5 / f64::from(parts) + 1e-9, "{text}");
        prop_assert_eq!(write_inch_fraction(found, parts), text);
    }

    #[test]
    fn printed_toe_is_read_back(
        deg in -8.0..8.0f64,
        printed in toe_unit(),
        bare in toe_unit(),
        wheels in wheels(),
        diameter_mm in 300.0..800.0f64,
    ) {
        let reference = Reference { wheels, diameter: Some(Length::from_mm(diameter_mm)) };
        let text = write_toe(Angle::from_deg(deg), printed, &reference, 6).unwrap();
        let found = read_toe(&text, bare, &reference).unwrap();
        // Coarsest: two decimals of a millimetre at 300 mm.
        prop_assert!((found.deg() - deg).abs() < 0.0011, "{text}: {}", found.deg());
        prop_assert_eq!(write_toe(found, printed, &reference, 6).unwrap(), text);
    }

    #[test]
    fn anything_typed_is_read_or_refused(
        text in prop_oneof![
            ".*",
            "[-+−0-9.,/°'′\" ]{0,12}(mm|in|m/km|deg|min|ft/mile)?",
        ],
        bare in toe_unit(),
        wheels in wheels(),
    ) {
        let reference = Reference { wheels, diameter: Some(Length::from_mm(400.0)) };
        let length = text.chars().count();
        let angle = read_angle(&text, AngleForm::DegreesMinutes).map(Angle::rad);
        let mm = read_length(&text, LengthUnit::Inch).map(Length::mm);
        let toe = read_toe(&text, bare, &reference).map(Angle::rad);
        for found in [angle, mm, toe] {
            match found {
                Ok(value) => prop_assert!(value.is_finite()),
                Err(wrong) => prop_assert!(wrong.at <= length, "{wrong:?}"),
            }
        }
    }

    #[test]
    fn a_sign_turns_everything_round(text in "[0-9]{1,3}(\\.[0-9]{1,2})?(°|'| mm| m/km|)") {
        let reference = Reference { wheels: Wheels::One, diameter: Some(Length::from_m(2.0)) };
        let bare = ToeUnit::Angle(AngleForm::Degrees);
        let plain = read_toe(&text, bare, &reference).unwrap();
        let minus = read_toe(&format!("-{text}"), bare, &reference).unwrap();
        prop_assert_eq!(plain.rad(), -minus.rad());
    }
}
