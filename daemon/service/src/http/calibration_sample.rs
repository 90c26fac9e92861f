//! A calibration and a desk for the tests of the interface.

use crate::axis::AxisName;
use crate::text::Text;
use std::sync::Arc;

use tokio::sync::watch;

use super::calibration_views::{CalibrationSource, CalibrationState, CalibrationView, SettledView};
use crate::board::Board;
use crate::calibrating::CalibrationDesk;
use crate::calibration_store::CalibrationStore;
use crate::config::Config;
use crate::journal::Journal;
use crate::swing::SwingSnapshot;

pub(super) fn calibration() -> CalibrationView {
    CalibrationView {
        state: CalibrationState::Valid,
        source: Some(CalibrationSource::Stored),
        say: Text::from("Calibrated: done today at 22 °C."),
        trouble: None,
        date: Some("2026-04-11T08:00:00Z".to_owned()),
        age_days: Some(0),
        temperature_c: Some(22.0),
        poses: Some(12),
        residual_mg: Some(0.125),
        offset_standard_mg: 0.25,
        settled: Some(SettledView {
            axis: AxisName::ZPlus,
            offset_standard_mg: 0.25,
            date: None,
        }),
        procedure: None,
    }
}

/// A desk with one board, `here`, which gives no readings.
pub(super) fn desk() -> CalibrationDesk {
    let text = "[[board]]\nid = \"here\"\n";
    let config = crate::config::parse(text, std::path::Path::new("car.toml")).unwrap_or_default();
    let Config { boards, floor, .. } = config;
    let boards = boards
        .iter()
        .map(|board| Arc::new(Board::new(board, floor)))
        .collect();
    let (_, boards) = watch::channel(boards);
    let (_, swing) = watch::channel(SwingSnapshot::default());
    CalibrationDesk::new(
        boards,
        swing,
        CalibrationStore::at("/nowhere"),
        Journal::off(),
    )
}

#[tokio::test]
async fn every_wish_about_a_calibration_that_is_not_granted_is_a_problem() {
    let asked = |what: &str, body: &str| {
        let path = format!("/api/v1/calibration/{what}");
        super::tests::request("POST", &path, Some(body))
    };
    let here = r#"{"board":"here"}"#;
    for (what, body, status, code) in [
        ("start", r#"{"board":"there"}"#, 404, "no_such_board"),
        ("start", here, 409, "board_not_live"),
        (
            "start",
            r#"{"board":"here","kind":"magic"}"#,
            422,
            "body_not_understood",
        ),
        (
            "start",
            r#"{"board":"here","sensing":"z"}"#,
            422,
            "body_not_understood",
        ),
        ("take-back", here, 409, "no_calibration"),
        ("solve", here, 409, "no_calibration"),
        ("keep", here, 409, "no_calibration"),
        ("discard", here, 409, "no_calibration"),
        ("cancel", here, 409, "no_calibration"),
        ("cancel", "{}", 422, "body_not_understood"),
    ] {
        super::tests::check(asked(what, body), status, code).await;
    }
}
