//! The floor by heights and by lines.

use hubplumb_core::calibrate::Pose;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::frames::Vec3;
use hubplumb_core::levelling::survey::{
    Line, PadHeights, SurveyError, by_heights, by_lines, edge_slope,
};
use hubplumb_core::mounting::BoardAxis;

const REFERENCE: &str = include_str!("../../../../tests/reference/floor_planes.csv");

/// `numpy.linalg.lstsq` on the weighted rows, by `tests/reference/floor_reference.py`.
#[test]
fn planes_are_those_of_numpy() {
    let mut cases = 0;
    for line in REFERENCE.lines().skip(1) {
        let row: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let pads = PadHeights {
            heights_mm: [row[0], row[1], row[2], row[3]],
            standard_mm: [row[4], row[5], row[6], row[7]],
            track_front_mm: row[8],
            track_rear_mm: row[9],
            wheelbase_mm: row[10],
        };
        let found = by_heights(&pads).unwrap();
        let near = |found: f64, expected: f64, what: &str| {
            assert!(
                (found - expected).abs() < 1e-9,
                "{what}: {found}, not {expected}: {line}"
            );
        };
        near(found.slope.roll.value.rad(), row[11], "roll");
        near(found.slope.pitch.value.rad(), row[12], "pitch");
        near(found.slope.roll.standard.rad(), row[13], "u(roll)");
        near(found.slope.pitch.standard.rad(), row[14], "u(pitch)");
        near(found.twist_mm.unwrap(), row[15], "twist");
        cases += 1;
    }
    assert!(cases >= 6, "{cases}");
}

const LEVEL: PadHeights = PadHeights {
    heights_mm: [0.0; 4],
    standard_mm: [0.5; 4],
    track_front_mm: 1500.0,
    track_rear_mm: 1500.0,
    wheelbase_mm: 2600.0,
};

#[test]
fn twist_is_told_and_widens_the_slope() {
    let flat = by_heights(&LEVEL).unwrap();
    let twisted = by_heights(&PadHeights {
        heights_mm: [2.0, -2.0, -2.0, 2.0],
        ..LEVEL
    })
    .unwrap();
    assert!(
        (twisted.twist_mm.unwrap() - 2.0).abs() < 1e-12,
        "{twisted:?}"
    );
    assert!(twisted.slope.roll.value.abs().rad() < 1e-12);
    // The front pads alone fall by 4 mm over the track.
    let front = (4.0_f64 / 1500.0).hypot(flat.slope.roll.standard.rad());
    assert!(
        (twisted.slope.roll.standard.rad() - front).abs() < 1e-9,
        "{twisted:?}"
    );
}

#[test]
fn what_cannot_be_is_refused() {
    let check = |pads: PadHeights, expected: fn(&SurveyError) -> bool| {
        let refused = by_heights(&pads).unwrap_err();
        assert!(expected(&refused), "{refused}");
    };
    let with = |change: fn(&mut PadHeights)| {
        let mut pads = LEVEL;
        change(&mut pads);
        pads
    };
    check(with(|p| p.wheelbase_mm = 26.0), |e| {
        matches!(e, SurveyError::Length { .. })
    });
    check(with(|p| p.track_rear_mm = f64::NAN), |e| {
        matches!(e, SurveyError::Length { .. })
    });
    check(with(|p| p.standard_mm[2] = 0.0), |e| {
        matches!(e, SurveyError::Height { .. })
    });
    check(with(|p| p.heights_mm[1] = f64::INFINITY), |e| {
        matches!(e, SurveyError::Height { .. })
    });
    check(with(|p| p.heights_mm[0] = 900.0), |e| {
        matches!(e, SurveyError::TooSteep { .. })
    });
}

#[test]
fn lines_give_the_slope_with_what_they_disagree_by() {
    let line = |line, value, standard| (line, Estimate::from_deg(value, standard));
    let floor = by_lines(&[
        line(Line::Front, 0.30, 0.02),
        line(Line::Rear, 0.20, 0.02),
        line(Line::Left, -0.40, 0.02),
    ])
    .unwrap();
    assert!(
        (floor.slope.roll.value.deg() - 0.25).abs() < 1e-5,
        "{floor:?}"
    );
    // Front end lower is + pitch.
    assert!(
        (floor.slope.pitch.value.deg() - 0.40).abs() < 1e-5,
        "{floor:?}"
    );
    let expected = (0.02 / 2f64.sqrt()).hypot(0.05);
    assert!(
        (floor.slope.roll.standard.deg() - expected).abs() < 1e-6,
        "{floor:?}"
    );
    assert!(matches!(
        by_lines(&[line(Line::Front, 0.1, 0.02)]),
        Err(SurveyError::Lines {
            across: 1,
            along: 0
        })
    ));
}

#[test]
fn an_edge_turned_end_for_end_is_free_of_the_offset() {
    // 0.3° up to the left, the board 0.8° askew on the edge, an offset of 20 mg.
    let (slope, askew, offset_g) = (0.3_f64.to_radians(), 0.8_f64.to_radians(), 0.02);
    let pose = |lean: f64| Pose {
        accel_g: Vec3::new((lean + askew).sin() + offset_g, 0.0, (lean + askew).cos()),
        noise_g: 1e-4,
        rate_radps: None,
        seconds: 0.5,
        temperature_c: None,
    };
    // Turned with the edge, board and edge lean the other way; askew stays with the board.
    let found = edge_slope(BoardAxis::XPlus, &pose(slope), &pose(-slope)).unwrap();
    assert!((found.value.rad() - slope).abs() < 2e-5, "{found:?}");
    assert!(found.standard.deg() < 0.02, "{found:?}");
}
