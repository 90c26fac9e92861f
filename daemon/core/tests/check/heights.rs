//! Camber and toe against ride height.

use hubplumb_core::check::{
    Check, CheckRefusal, CheckSetup, Figure, FigureError, HeightsSetup, Note, Phase, Quantity,
};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::side::Side;

use crate::made::{
    Dice, Faults, finding, found, holds, on_hub, profile, readings, refused, seated, wheel,
};

fn setup(side: Side, chip: ChipFigures) -> HeightsSetup {
    HeightsSetup {
        seated: seated(&wheel(side, chip, 0.2)),
        hold_us: 2_000_000,
        ride_height_mm: Some(0.0),
        step_mm: Some(20.0),
        height_standard_mm: 0.5,
    }
}

/// A sweep of the heights with a camber that goes as `c0 + c1 h + c2 h²`, degrees and mm.
fn swept(heights: &[f64], c: [f64; 3], toe_per_mm: f64, typed: bool, wrong_mm: f64) -> Check {
    let (side, chip) = (Side::Right, ChipFigures::GOOD);
    let held = 5.0;
    let height = profile(&heights.iter().map(|h| (*h, held)).collect::<Vec<_>>(), 3.0);
    let pose = |t: f64| {
        let h = height(t);
        on_hub(side, c[0] + c[1] * h + c[2] * h * h, toe_per_mm * h)
    };
    let seconds = 8.0 * heights.len() as f64;
    let stream = readings(seconds, pose, &Faults::none(chip), &mut Dice::of(6));
    let mut check = Check::start(CheckSetup::Heights(setup(side, chip))).unwrap();
    for (i, sample) in stream.iter().enumerate() {
        // Half a second after the height is reached somebody types it.
        let t = i as f64 / crate::made::RATE_HZ;
        let place = (t / 8.0) as usize;
        if ((t - 8.0 * place as f64) - 0.5).abs() < 1e-6 {
            let off = if place == 1 { wrong_mm } else { 0.0 };
            let toe = typed.then(|| Estimate::from_deg(toe_per_mm * heights[place], 0.02));
            check
                .figure(Figure::Height {
                    height_mm: Some(heights[place] + off),
                    toe,
                })
                .unwrap();
        }
        check.sample(side, sample);
    }
    check.finish();
    check
}

#[test]
fn slope_and_bend_are_found_with_their_intervals() {
    let side = Some(Side::Right);
    // 0.02° per mm, bent.
    let (slope, bend, toe) = (-0.02, -5e-5, 0.004);
    for typed in [true, false] {
        let check = swept(
            &[-40.0, -20.0, 0.0, 20.0, 40.0],
            [-0.6, slope, bend],
            toe,
            typed,
            0.0,
        );
        assert_eq!(check.stops().len(), 5);
        let result = found(&check);
        for (quantity, truth, within) in [
            (Quantity::CamberSlope, slope, 3e-4),
            (Quantity::CamberBend, bend, 1.5e-5),
            (Quantity::CamberAtRideHeight, -0.6, 0.05),
            (Quantity::ToeSlope, toe, 1e-3),
        ] {
            let of = finding(&result, quantity, side);
            assert!(holds(of, truth), "{quantity:?} {truth}: {of:?}");
            let error = of.estimate.value.deg() - truth;
            assert!(error.abs() < within, "{quantity:?}: {error}");
        }
        let camber = &result.curves[0];
        assert_eq!(camber.points.len(), 5);
        let [_, variance] = camber.line_covariance;
        assert!(variance[1] > 0.0 && camber.quadratic.is_some());
    }
    let line = found(&swept(
        &[-30.0, 0.0, 30.0],
        [0.2, 0.01, 0.0],
        0.0,
        true,
        0.0,
    ));
    assert!(line.notes.contains(&Note::LineOnly));
    assert!(holds(finding(&line, Quantity::CamberSlope, side), 0.01));
}

#[test]
fn a_hold_is_told_as_it_goes_on() {
    let (side, chip) = (Side::Right, ChipFigures::GOOD);
    let mut check = Check::start(CheckSetup::Heights(setup(side, chip))).unwrap();
    let stream = readings(
        4.0,
        |_| on_hub(side, 0.0, 0.0),
        &Faults::none(chip),
        &mut Dice::of(6),
    );
    let (height_mm, toe) = (Some(0.0), None);
    check.figure(Figure::Height { height_mm, toe }).unwrap();
    let mut held = Vec::new();
    for sample in &stream {
        check.sample(side, sample);
        if check.phase() == Phase::Hold {
            held.push(check.progress().held_us);
        }
    }
    assert!(held.windows(2).all(|pair| pair[0] <= pair[1]), "{held:?}");
    let longest = held.last().copied().unwrap_or(0);
    assert!((1_900_000..=2_000_000).contains(&longest), "{longest}");
}

#[test]
fn what_is_no_sweep_is_refused() {
    let c = [0.0, 0.03, 0.0];
    let refusal = |heights: &[f64], wrong_mm| refused(&swept(heights, c, 0.0, false, wrong_mm));
    let few = refusal(&[0.0, 20.0], 0.0);
    assert!(
        matches!(few, CheckRefusal::TooFew { found: 2, .. }),
        "{few:?}"
    );
    let near = refusal(&[0.0, 2.0, 4.0], 0.0);
    assert!(
        matches!(near, CheckRefusal::SpanTooSmall { .. }),
        "{near:?}"
    );
    // 20 typed as 40.
    let off = refusal(&[0.0, 20.0, 40.0, 60.0, 80.0, 100.0], 20.0);
    assert!(matches!(off, CheckRefusal::OffCurve { .. }), "{off:?}");
}

#[test]
fn heights_that_cannot_be_are_not_taken() {
    let setup = HeightsSetup {
        seated: seated(&wheel(Side::Left, ChipFigures::GOOD, 0.2)),
        hold_us: 2_000_000,
        ride_height_mm: None,
        step_mm: None,
        height_standard_mm: 1.0,
    };
    let mut check = Check::start(CheckSetup::Heights(setup)).unwrap();
    let mut height = |height_mm| {
        check.figure(Figure::Height {
            height_mm,
            toe: None,
        })
    };
    assert_eq!(height(None), Err(FigureError::NoStep));
    assert!(matches!(
        height(Some(f64::NAN)),
        Err(FigureError::Impossible { .. })
    ));
    assert_eq!(height(Some(350.0)), Ok(()));
    let none = HeightsSetup {
        step_mm: Some(f64::NAN),
        ..setup
    };
    assert!(Check::start(CheckSetup::Heights(none)).is_err());
}
