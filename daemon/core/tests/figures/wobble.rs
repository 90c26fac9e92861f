//! Run-out round the wheel, derived figures.

use hubplumb_core::angle::Angle;
use hubplumb_core::wobble::{Wobble, WobbleError};

use super::{near, plate};

/// `y = −0.5 + 0.4 cos(α + 30°)` in degrees, read with 0.1° each.
fn fit(turned_deg: &[f64]) -> Result<Wobble, WobbleError> {
    let readings: Vec<_> = turned_deg
        .iter()
        .map(|deg| {
            let read = -0.5 + 0.4 * (deg + 30.0).to_radians().cos();
            (Angle::from_deg(*deg), plate(read, 0.1))
        })
        .collect();
    Wobble::fit(&readings)
}

#[test]
fn the_middle_is_found_at_equal_and_unequal_turns() {
    // Equal thirds read −0.1536, −0.8464, −0.5; at 0, 115, 250 the plain mean would be
    // −0.4706.
    for turns in [
        &[0.0, 120.0, 240.0][..],
        &[0.0, 115.0, 250.0],
        &[0.0, 60.0, 120.0, 180.0],
    ] {
        let found = fit(turns).unwrap();
        near("middle", found.middle.value.deg(), -0.5, 1e-9);
        near("amplitude", found.amplitude.unwrap().deg(), 0.4, 1e-9);
    }
}

#[test]
fn how_certain_the_middle_is_depends_on_the_turns() {
    for (turns, factor) in [
        (&[0.0, 120.0, 240.0][..], 0.58),
        (&[0.0, 90.0, 180.0, 270.0], 0.50),
        (&[0.0, 60.0, 120.0, 180.0], 0.71),
    ] {
        let found = fit(turns).unwrap();
        near("factor", found.factor, factor, 5e-3);
        near("u", found.middle.standard.deg(), 0.1 * found.factor, 1e-9);
    }
}

#[test]
fn short_arcs_are_refused() {
    assert_eq!(fit(&[0.0]), Err(WobbleError::TooFew { found: 1 }));
    match fit(&[0.0, 45.0, 90.0]) {
        Err(WobbleError::ShortArc { factor }) => near("factor", factor, 3.4, 0.05),
        other => panic!("{other:?}"),
    }
    for turns in [&[10.0, 10.0, 10.0][..], &[0.0, 120.0]] {
        let found = fit(turns);
        assert!(
            matches!(found, Err(WobbleError::ShortArc { .. })),
            "{found:?}"
        );
    }
    // Half a turn gives the middle, and not how far it swings.
    for turns in [&[0.0, 180.0][..], &[0.0, 0.0, 180.0]] {
        let found = fit(turns).unwrap();
        near("middle", found.middle.value.deg(), -0.5, 1e-9);
        assert_eq!(found.amplitude, None);
    }
    assert_eq!(fit(&[0.0, f64::NAN, 90.0]), Err(WobbleError::NotFinite));
}
