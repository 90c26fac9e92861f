//! Floor, toe and run-outs over the interface.

use super::*;

async fn post(path: &str, body: &str) -> (StatusCode, Value) {
    let served = served();
    let (status, response) = send(served.router, request("POST", path, Some(body))).await;
    (status, json(response).await)
}

const HEIGHTS: &str = r#"{"front_left_mm": 0, "front_right_mm": 6, "rear_left_mm": 4, "rear_right_mm": 10,
    "standard_mm": 0.5, "track_front_mm": 1500, "track_rear_mm": 1500, "wheelbase_mm": 2600"#;

#[tokio::test]
async fn heights_become_a_slope_and_a_water_level_reads_upside_down() {
    for (reads, sign) in [("pad_height", 1.0), ("water_above_pad", -1.0)] {
        let body = format!("{HEIGHTS}, \"reads\": \"{reads}\"}}");
        let (status, view) = post("/api/v1/floor/heights", &body).await;
        assert_eq!(status, StatusCode::OK, "{view:#}");
        let floor = &view["floor"];
        let near = |key: &str, expected: f64| {
            let found = floor[key].as_f64().unwrap();
            assert!((found - expected).abs() < 1e-3, "{reads} {key}: {found}");
        };
        // The right side is 6 mm higher over 1.5 m, the front 4 mm lower over 2.6 m.
        near("roll_deg", -sign * (0.006_f64 / 1.5).to_degrees());
        near("pitch_deg", sign * (0.004_f64 / 2.6).to_degrees());
        near("twist_mm", 0.0);
        assert_eq!(floor["by"], "heights");
    }
}

#[tokio::test]
async fn toe_and_heading_are_kept() {
    let toe = r#"{"mount": "front_right", "toe_deg": -0.12, "standard_deg": 0.02}"#;
    let (status, view) = post("/api/v1/toe", toe).await;
    assert_eq!(status, StatusCode::OK, "{view:#}");
    assert_eq!(view["toes"][1]["mount"], "front_right");
    assert_eq!(view["toes"][1]["entered"], true);
    assert_eq!(view["toes"][0]["entered"], false);
    let (status, view) = post("/api/v1/body-heading", r#"{"forward": "-y"}"#).await;
    assert_eq!(status, StatusCode::OK, "{view:#}");
    assert_eq!(view["body"]["forward"], "-y");
}

#[tokio::test]
async fn what_is_not_granted_says_what_to_do() {
    let check = async |path: &str, body: &str, expected: StatusCode, code: &str| {
        let (status, problem) = post(path, body).await;
        assert_eq!(
            (status, problem["code"].as_str()),
            (expected, Some(code)),
            "{path}: {problem:#}"
        );
        for part in ["title", "detail", "remedy"] {
            assert!(
                problem[part].as_str().is_some_and(|text| text.len() > 6),
                "{part}: {problem:#}"
            );
        }
    };
    let (conflict, wrong) = (StatusCode::CONFLICT, StatusCode::UNPROCESSABLE_ENTITY);
    let left = r#"{"mount": "front_left"}"#;
    check(
        "/api/v1/run-out",
        r#"{"mount": "front_left", "jacked": true}"#,
        conflict,
        "no_boards",
    )
    .await;
    check(
        "/api/v1/run-out",
        r#"{"mount": "body", "jacked": true}"#,
        wrong,
        "not_a_wheel",
    )
    .await;
    check("/api/v1/run-out", left, wrong, "body_not_understood").await;
    check("/api/v1/run-out/cancel", left, conflict, "no_run_out").await;
    check("/api/v1/run-out/finish", left, conflict, "no_run_out").await;
    check("/api/v1/run-out/forget", left, conflict, "no_boards").await;
    let heights = |from: &str, to: &str| format!("{HEIGHTS}}}").replace(from, to);
    check(
        "/api/v1/floor/heights",
        &heights("2600", "26"),
        wrong,
        "length_impossible",
    )
    .await;
    check(
        "/api/v1/floor/heights",
        &heights("0.5", "0"),
        wrong,
        "height_impossible",
    )
    .await;
    check(
        "/api/v1/floor/heights",
        &heights("_mm\": 10", "_mm\": 900"),
        wrong,
        "floor_too_steep",
    )
    .await;
    let line = r#"{"line": "front", "board": "x", "along": "+y", "turned": false}"#;
    check("/api/v1/floor/line", line, wrong, "no_such_board").await;
    let toe = |mount: &str, toe: f64, standard: f64| {
        format!(r#"{{"mount": "{mount}", "toe_deg": {toe}, "standard_deg": {standard}}}"#)
    };
    check(
        "/api/v1/toe",
        &toe("rear_left", 0.1, 0.1),
        wrong,
        "not_a_steered_wheel",
    )
    .await;
    check(
        "/api/v1/toe",
        &toe("front_left", 80.0, 0.1),
        wrong,
        "angle_impossible",
    )
    .await;
    check(
        "/api/v1/toe",
        &toe("front_left", 0.1, 0.0),
        wrong,
        "uncertainty_impossible",
    )
    .await;
    check(
        "/api/v1/body-heading",
        r#"{"forward": "+x", "standard_deg": 90}"#,
        wrong,
        "uncertainty_impossible",
    )
    .await;
}
