//! Toe and what follows from it, against printed figures.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, EnteredError, Source};
use hubplumb_core::length::Length;
use hubplumb_core::side::Side;
use hubplumb_core::toe::{
    Across, AxleAtStrings, CarToe, GaugedStrings, HubDistances, Marks, RimReading, SlipPlate,
    Strings, ToeFigure, Trammel, WheelAtString, as_length, dog_track_offset, from_length,
    from_side_slip, run_out, setback, setback_length, to_side_slip, total_from_length,
};

use super::{length, near, tape};

const D_MM: f64 = 406.4;

fn turned(difference_mm: f64, standard_mm: f64) -> WheelAtString {
    let reading = RimReading {
        front: tape(120.0 + difference_mm, standard_mm),
        rear: tape(120.0, standard_mm),
    };
    WheelAtString::HalfTurned {
        first: reading,
        second: reading,
    }
}

fn axle(left_deg: f64, right_deg: f64) -> AxleAtStrings {
    let wheel = |deg: f64| {
        let difference = as_length(Angle::from_deg(deg), Length::from_mm(D_MM));
        turned(difference.mm(), 0.2)
    };
    AxleAtStrings {
        left: wheel(left_deg),
        right: wheel(right_deg),
        diameter: length(D_MM, 0.0, Source::Diameter),
    }
}

const SQUARE: Strings = Strings::Presumed {
    standard: Angle::ZERO,
};

fn car(front: (f64, f64), rear: (f64, f64)) -> CarToe {
    AxleAtStrings::car(&axle(front.0, front.1), &axle(rear.0, rear.1), &SQUARE).unwrap()
}

#[test]
fn four_toes_give_thrust_and_steer_ahead() {
    // Rear +0.30/−0.10: thrust +0.20 to the right, total 0.20 (rule printed in the
    // workshop manual of the 2004 Mercury Monterey); with the front at 0.15/0.05,
    // the rest of the row, and −2.4° at the steering wheel by 16:1, derived.
    let car = car((0.15, 0.05), (0.30, -0.10));
    for (which, expected_deg) in [
        (ToeFigure::LeftFront, 0.15),
        (ToeFigure::RightFront, 0.05),
        (ToeFigure::LeftRear, 0.30),
        (ToeFigure::RightRear, -0.10),
        (ToeFigure::TotalFront, 0.20),
        (ToeFigure::TotalRear, 0.20),
        (ToeFigure::Thrust, 0.20),
        (ToeFigure::LeftFrontToThrust, -0.05),
        (ToeFigure::RightFrontToThrust, 0.25),
        (ToeFigure::SteerAhead, -0.15),
    ] {
        let found = car.figure(which);
        near(&format!("{which:?}"), found.value.deg(), expected_deg, 1e-9);
    }
    let wheel = car
        .steering_wheel(Entered::new(16.0, 0.5, Source::SteeringRatio))
        .unwrap();
    near("steering wheel", wheel.value.deg(), -2.4, 1e-9);
    assert!(
        wheel
            .budget
            .iter()
            .any(|s| s.source == Source::SteeringRatio)
    );
}

#[test]
fn lengths_at_a_diameter_are_the_printed_angles() {
    let inch = Length::from_inch;
    // 1/16 in in total is 0.125° at 28.65 in: specification sheet of the 1988 Lincoln.
    let total = total_from_length(inch(1.0 / 16.0), inch(28.65)).unwrap();
    near("1988 Lincoln", total.deg(), 0.125, 5e-4);
    // Derived: 1.2 mm at 406.4 mm.
    let one = from_length(Length::from_mm(1.2), Length::from_mm(D_MM)).unwrap();
    near("1.2 mm", one.deg(), 0.1692, 5e-5);
    near("1.2 mm", one.deg() * 60.0, 10.15, 5e-3);
    // Derived: 10′ as millimetres by nominal rim, inches.
    for (rim, mm) in [
        (13.0, 0.961),
        (14.0, 1.034),
        (15.0, 1.108),
        (16.0, 1.182),
        (17.0, 1.256),
        (18.0, 1.330),
        (19.0, 1.404),
    ] {
        let found = as_length(Angle::from_deg(10.0 / 60.0), inch(rim)).mm();
        near(&format!("10′ at {rim} in"), found, mm, 6e-4);
    }
    assert_eq!(from_length(inch(17.0), inch(16.0)), None);
    assert_eq!(total_from_length(inch(33.0), inch(16.0)), None);
}

#[test]
fn side_slip_is_the_tangent_of_toe() {
    // 5 m/km is the limit of the Japanese safety standard (details, article 91) and of
    // GB 7258, as others quote them; its angle and 30 ft/mile derived.
    near("5 m/km", from_side_slip(5e-3).deg(), 0.2865, 5e-5);
    near(
        "30 ft/mile",
        from_side_slip(30.0 / 5280.0).deg(),
        0.3255,
        5e-5,
    );
    near("30 ft/mile", 30.0 / 5280.0 * 1e3, 5.682, 5e-4);
    near(
        "and back",
        to_side_slip(from_side_slip(-5e-3)),
        -5e-3,
        1e-15,
    );
}

#[test]
fn a_slip_plate_only_indicates() {
    let reading = Entered::new(5e-3, 0.5e-3, Source::SlipPlate);
    let indicated = |camber: Option<f64>| {
        let camber = camber.map(Angle::from_deg);
        let plate = SlipPlate {
            side_slip: reading,
            camber,
        };
        plate.indicated().unwrap().toe
    };
    let unknown = indicated(None);
    near("toe", unknown.value.deg(), 0.2865, 5e-5);
    // The doubt about the other side forces goes before the plate's own reading.
    assert_eq!(unknown.largest().unwrap().source, Source::TyreSideForce);
    assert!(unknown.expanded().deg() > 0.3, "{unknown:?}");
    assert!(indicated(Some(0.0)).standard.rad() < unknown.standard.rad());
    assert_eq!(
        indicated(Some(-2.0)).standard,
        indicated(Some(2.0)).standard
    );
}

#[test]
fn thrust_and_setback_as_lengths() {
    // Derived: 0.2° over 2.6 m; 10 mm over 1500 mm.
    let car = car((0.0, 0.0), (0.2, -0.2));
    let offset = dog_track_offset(&car, length(2600.0, 1.0, Source::Wheelbase)).unwrap();
    near("dog track", offset.value.mm(), 9.08, 5e-3);
    let (left, right) = (tape(1010.0, 1.0), tape(1000.0, 1.0));
    let angle = setback(left, right, length(1500.0, 1.0, Source::Width)).unwrap();
    near("setback", angle.value.deg(), 0.382, 5e-4);
    near(
        "its U",
        angle.standard.deg(),
        2f64.sqrt() / 1500.0 * 57.295_78,
        1e-5,
    );
    let ahead = setback_length(left, right).unwrap();
    near("setback", ahead.value.mm(), 10.0, 1e-9);
    near("its U", ahead.standard.mm(), 2f64.sqrt(), 1e-9);
}

#[test]
fn run_out_swings_as_a_sine() {
    // 1 mm from least to most at 400 mm tilts the rim by asin(1/400); a sine of
    // that has the root mean square of it over √2 (JCGM 100:2008, 4.3 and H.1.3.4).
    let found = run_out(Length::from_mm(1.0), Length::from_mm(400.0));
    let expected = (1.0f64 / 400.0).asin() / 2f64.sqrt();
    near("run-out", found.uncertainty.standard, expected, 1e-15);
    assert_eq!(found.value, Angle::ZERO);
}

#[test]
fn a_trammel_gives_the_total() {
    let bar = Trammel {
        front_gap: tape(1400.0, 0.3),
        rear_gap: tape(1402.4, 0.3),
        diameter: length(D_MM, 1.0, Source::Diameter),
        below_hub: length(0.0, 5.0, Source::GaugingHeight),
        marks: Marks::CarriedRound,
    };
    let total = bar.total().unwrap();
    near("total", total.value.deg(), 2.0 * 0.169_181, 1e-5);
    assert_eq!(total.largest().unwrap().source, Source::TapeReading);
    // Standing, 0.5 mm of run-out on each side is most of the doubt.
    let tilt = run_out(Length::from_mm(0.5), Length::from_mm(D_MM));
    let standing = Trammel {
        marks: Marks::Standing {
            left: tilt,
            right: tilt,
        },
        ..bar
    };
    let doubted = standing.total().unwrap();
    assert_eq!(doubted.value, total.value);
    assert_eq!(doubted.largest().unwrap().source, Source::RunOut);
    let deep = |mm: f64| {
        let below_hub = length(mm, 1.0, Source::GaugingHeight);
        Trammel { below_hub, ..bar }.total()
    };
    // 3-4-5: at 0.3 D below the hub the rim is 0.8 D wide.
    let lower = deep(0.3 * D_MM).unwrap().value;
    near("low", lower.deg(), 2.0 * 0.169_181 / 0.8, 1e-5);
    assert!(matches!(deep(300.0), Err(EnteredError::BelowRim { .. })));
}

fn gauged(left: (f64, f64), right: (f64, f64), across: Across) -> Strings {
    let hubs = |(front, rear): (f64, f64)| HubDistances {
        front: length(front, 0.5, Source::StringToHub),
        rear: length(rear, 0.5, Source::StringToHub),
    };
    Strings::Gauged(Box::new(GaugedStrings {
        left: hubs(left),
        right: hubs(right),
        across,
        wheelbase: length(2600.0, 2.0, Source::Wheelbase),
    }))
}

#[test]
fn strings_askew_are_computed_out() {
    let width = |mm: f64| length(mm, 1.0, Source::Width);
    let tracks = |front: f64, rear: f64| Across::Tracks {
        front: width(front),
        rear: width(rear),
    };
    let widths = |front: f64, rear: f64| Across::Widths {
        front: width(front),
        rear: width(rear),
    };
    let check = |what: &str, strings: &Strings, left_mm: f64, right_mm: f64| {
        for (side, mm) in [(Side::Left, left_mm), (Side::Right, right_mm)] {
            let found = strings.heading(side).unwrap().value.rad();
            near(what, found, (mm / 2600.0f64).atan(), 1e-12);
        }
    };
    // Track 20 mm wider in front: strings 10 mm nearer to the front hubs are parallel.
    let parallel = gauged((90.0, 100.0), (90.0, 100.0), tracks(1520.0, 1500.0));
    check("unequal tracks", &parallel, 0.0, 0.0);
    // As near to all hubs, they run 10 mm outwards.
    let alike = gauged((100.0, 100.0), (100.0, 100.0), tracks(1520.0, 1500.0));
    check("outwards", &alike, -10.0, -10.0);
    // The same by the widths between the strings: 1720 and 1700.
    let alike = gauged((100.0, 100.0), (100.0, 100.0), widths(1720.0, 1700.0));
    check("by widths", &alike, -10.0, -10.0);
    // Parallel to each other and askew to the car: one inwards, the other outwards.
    let askew = gauged((96.0, 100.0), (104.0, 100.0), widths(1700.0, 1700.0));
    check("askew", &askew, 4.0, -4.0);

    // Wheels that stand straight, beside strings that run inwards by 4 mm on the
    // left: the front of the rim is nearer to the string, which looks like toe-out.
    let slope: f64 = 4.0 / 2600.0;
    let difference = D_MM * slope.atan().sin();
    let axle = AxleAtStrings {
        left: turned(-difference, 0.2),
        right: turned(difference, 0.2),
        diameter: length(D_MM, 1.0, Source::Diameter),
    };
    let toe = axle.toe(&askew).unwrap();
    for side in Side::BOTH {
        near("straight", toe.wheel(side).value.deg(), 0.0, 1e-9);
    }
    let straight = axle.toe(&SQUARE).unwrap();
    near(
        "uncorrected",
        straight.wheel(Side::Left).value.rad(),
        -slope.atan(),
        1e-12,
    );
}

#[test]
fn what_strings_are_off_by_is_shared() {
    let wide = Strings::Presumed {
        standard: Angle::from_deg(0.1),
    };
    let exact = AxleAtStrings {
        left: turned(1.0, 0.0),
        right: turned(1.0, 0.0),
        diameter: length(D_MM, 0.0, Source::Diameter),
    };
    let car = AxleAtStrings::car(&exact, &exact, &wide).unwrap();
    // Both strings by themselves: √2 in the totals, 1/√2 in thrust. Front toe
    // against thrust and steer-ahead: LF − (LR − RR)/2 keeps half of either
    // string, steer-ahead none.
    for (which, expected_deg) in [
        (ToeFigure::TotalFront, 0.1 * 2f64.sqrt()),
        (ToeFigure::Thrust, 0.1 / 2f64.sqrt()),
        (ToeFigure::LeftFrontToThrust, 0.1 / 2f64.sqrt()),
        (ToeFigure::SteerAhead, 0.0),
    ] {
        let found = car.figure(which).standard.deg();
        near(&format!("{which:?}"), found, expected_deg, 1e-9);
    }
    let all = car.correlated().unwrap();
    let at = |which: ToeFigure| ToeFigure::ALL.iter().position(|k| *k == which).unwrap();
    let front_rear = all.correlation(at(ToeFigure::LeftFront), at(ToeFigure::LeftRear));
    near("same string", front_rear.unwrap(), 1.0, 1e-9);
}

#[test]
fn what_cannot_be_is_refused() {
    let with = |difference_mm: f64, diameter_mm: f64| {
        let axle = AxleAtStrings {
            left: turned(difference_mm, 0.2),
            right: turned(0.0, 0.2),
            diameter: length(diameter_mm, 1.0, Source::Diameter),
        };
        axle.toe(&SQUARE).unwrap_err()
    };
    assert!(matches!(
        with(500.0, 400.0),
        EnteredError::BeyondDiameter { .. }
    ));
    assert!(matches!(
        with(1.0, 0.0),
        EnteredError::NotPositive {
            from: Source::Diameter,
            ..
        }
    ));
    assert!(matches!(with(f64::NAN, 400.0), EnteredError::Gum(_)));
}
