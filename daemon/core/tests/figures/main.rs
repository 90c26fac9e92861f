//! Figures that are entered and combined: toe, turning, offsets, verdicts, notation.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod decision;
mod entered;
mod notation;
mod notation_properties;
mod offsets;
mod published_limits;
mod scatter;
mod toe;
mod toe_model;
mod turning;
mod wobble;

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::length::Length;

#[track_caller]
fn near(what: &str, found: f64, expected: f64, within: f64) {
    assert!(
        (found - expected).abs() <= within,
        "{what}: {found}, expected {expected} ± {within}"
    );
}

/// A length read off a tape, mm, with its standard uncertainty.
fn tape(mm: f64, standard_mm: f64) -> Entered<Length> {
    Entered::new(
        Length::from_mm(mm),
        Length::from_mm(standard_mm),
        Source::TapeReading,
    )
}

/// A length of another source, mm.
fn length(mm: f64, standard_mm: f64, source: Source) -> Entered<Length> {
    Entered::new(Length::from_mm(mm), Length::from_mm(standard_mm), source)
}

/// An angle read off a turn plate, degrees.
fn plate(deg: f64, standard_deg: f64) -> Entered<Angle> {
    Entered::new(
        Angle::from_deg(deg),
        Angle::from_deg(standard_deg),
        Source::PlateReading,
    )
}
