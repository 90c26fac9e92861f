//! Stated uncertainties against the scatter of thousands of made-up readings.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Figure, Source};
use hubplumb_core::length::Length;
use hubplumb_core::toe::{
    Across, AxleAtStrings, GaugedStrings, HubDistances, RimReading, Strings, ToeFigure,
    WheelAtString, run_out,
};
use hubplumb_core::turning::{Geometry, percent_ackermann};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use super::{length, near, plate, tape};

/// Readings made up; of so many the scatter itself scatters by 1/√(2·4000) = 1.1 %.
const TIMES: usize = 4000;
/// Three times that.
const WITHIN: f64 = 0.034;

/// Readings with an error of their own each, or none.
struct Errors(Option<ChaCha8Rng>);

impl Errors {
    fn of(&mut self, standard: f64) -> f64 {
        self.0.as_mut().map_or(0.0, |rng| {
            let drawn: f64 = StandardNormal.sample(rng);
            drawn * standard
        })
    }

    fn tape(&mut self, mm: f64, standard: f64) -> Entered<Length> {
        tape(mm + self.of(standard), standard)
    }

    fn length(&mut self, mm: f64, standard: f64, source: Source) -> Entered<Length> {
        length(mm + self.of(standard), standard, source)
    }
}

/// Compares what each measurement states with the scatter of the values.
fn compare<Q>(
    seed: u64,
    names: &[&str],
    si: impl Fn(Q) -> f64,
    measure: impl Fn(&mut Errors) -> Vec<Figure<Q>>,
) where
    Q: Copy,
{
    let stated = measure(&mut Errors(None));
    let mut errors = Errors(Some(ChaCha8Rng::seed_from_u64(seed)));
    let drawn: Vec<Vec<f64>> = (0..TIMES)
        .map(|_| measure(&mut errors).iter().map(|f| si(f.value)).collect())
        .collect();
    for (index, name) in names.iter().enumerate() {
        let truth = si(stated[index].value);
        let squares: f64 = drawn.iter().map(|row| (row[index] - truth).powi(2)).sum();
        let scatter = (squares / TIMES as f64).sqrt();
        near(name, scatter / si(stated[index].standard), 1.0, WITHIN);
    }
}

fn axle(errors: &mut Errors, left_mm: f64, right_mm: f64) -> AxleAtStrings {
    let mut wheel = |difference: f64| {
        let mut reading = || RimReading {
            front: errors.tape(150.0 + difference, 0.3),
            rear: errors.tape(150.0, 0.4),
        };
        WheelAtString::HalfTurned {
            first: reading(),
            second: reading(),
        }
    };
    AxleAtStrings {
        left: wheel(left_mm),
        right: wheel(right_mm),
        diameter: errors.length(420.0, 3.0, Source::Diameter),
    }
}

fn strings(errors: &mut Errors) -> Strings {
    let mut hubs = |front: f64| HubDistances {
        front: errors.length(front, 0.8, Source::StringToHub),
        rear: errors.length(100.0, 0.8, Source::StringToHub),
    };
    let (left, right) = (hubs(97.0), hubs(104.0));
    let mut width = |mm: f64| errors.length(mm, 1.0, Source::Width);
    Strings::Gauged(Box::new(GaugedStrings {
        left,
        right,
        across: Across::Widths {
            front: width(1712.0),
            rear: width(1700.0),
        },
        wheelbase: errors.length(2600.0, 4.0, Source::Wheelbase),
    }))
}

#[test]
fn strings_scatter_as_stated() {
    const KINDS: [ToeFigure; 6] = [
        ToeFigure::LeftFront,
        ToeFigure::TotalFront,
        ToeFigure::TotalRear,
        ToeFigure::Thrust,
        ToeFigure::LeftFrontToThrust,
        ToeFigure::SteerAhead,
    ];
    let names = KINDS.map(|kind| format!("{kind:?}"));
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    compare(1, &names, Angle::rad, |errors| {
        let front = axle(errors, 3.0, -1.0);
        let rear = axle(errors, 2.0, 8.0);
        let strings = strings(errors);
        let car = AxleAtStrings::car(&front, &rear, &strings).unwrap();
        KINDS.map(|kind| car.figure(kind)).into()
    });
}

#[test]
fn percent_ackermann_scatters_as_stated() {
    compare(
        2,
        &["percent"],
        |percent: f64| percent,
        |errors| {
            let geometry = Geometry {
                wheelbase: errors.length(2600.0, 5.0, Source::Wheelbase),
                kingpins: errors.length(1500.0, 15.0, Source::KingpinSpacing),
            };
            let mut read = |deg: f64| plate(deg + errors.of(0.2), 0.2);
            let (inner, outer) = (read(30.0), read(26.0));
            vec![percent_ackermann(inner, outer, &geometry).unwrap()]
        },
    );
}

#[test]
fn run_out_scatters_as_stated() {
    // The wheel comes to stand anywhere: a rim of 400 mm with 1.2 mm of run-out.
    let (total, diameter) = (Length::from_mm(1.2), Length::from_mm(400.0));
    let stated = run_out(total, diameter).uncertainty.standard;
    let tilt = (total / diameter).asin();
    let squares: f64 = (0..TIMES)
        .map(|n| (tilt * (n as f64 * std::f64::consts::TAU / TIMES as f64).cos()).powi(2))
        .sum();
    near(
        "run-out",
        (squares / TIMES as f64).sqrt() / stated,
        1.0,
        1e-9,
    );
}
