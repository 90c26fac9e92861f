//! Findings of a visit, computed again from what was kept with them.

use std::time::Duration;

use hubplumb_sim::Scenario;
use hubplumb_tests::run;
use hubplumb_tests::visiting::Visiting;
use serde_json::{Value, json};

const AT_MOST: Duration = Duration::from_secs(60);
/// How fast the car moves.
const SPEED: f64 = 2.0;
/// What the program calls the same, standard uncertainties.
const SAME: f64 = 0.01;
/// What a swing may differ by, standard uncertainties: live a rest ends for each board with the
/// reading that was heard by then, and its recording has one window for all boards. One reading
/// of some three hundred is a few hundredths of that.
const A_READING: f64 = 0.1;

#[test]
fn a_kept_swing_its_turns_and_entered_figures_are_found_again() {
    let scenario = Scenario::shipped("garage-good").expect("a shipped scenario");
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().to_string_lossy();
    let mut visiting = Visiting::with(scenario, SPEED, "", &["--store", &store]);
    let ask = |visiting: &Visiting, path: &str, body: Value, wanted: u16| {
        let (status, answer) = visiting.daemon.post(path, &body);
        assert_eq!(status, wanted, "{path}: {answer:#}");
        answer
    };
    // Lengths that scrub radius and trail of the swing are told by, too.
    let car = json!({
        "name": "Marten 1600",
        "front": { "loaded_radius_mm": 290.0 },
        "steering": { "axis_inboard_mm": 60.0, "axis_behind_mm": 0.0 },
    });
    let car = ask(&visiting, "/api/v1/cars", car, 201);
    ask(
        &visiting,
        "/api/v1/visits",
        json!({ "car": car["id"] }),
        201,
    );
    let figures = json!({
        "ask": "1",
        "figures": {
            "way": "gap", "front": true, "diameter": "350",
            "pairs": [{ "ahead": "1301", "behind": "1303 mm" }],
        },
    });
    let visit = ask(&visiting, "/api/v1/visits/1/figures", figures, 200);
    let before = visit["entries"].as_u64().expect("a number");

    let state = visiting.swing();
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    // The swing, and the toe-out on turns that it shows.
    let written = |state: &Value| state["visit"]["entries"].as_u64() == Some(before + 2);
    visiting
        .daemon
        .wait("the swing is in the visit", AT_MOST, written);
    visiting.daemon.end(AT_MOST);

    let recompute = ["visits", "recompute", "1", "--store", &store];
    let told = run(&recompute, AT_MOST);
    println!("{}", told.stdout);
    let finished = run(&[&recompute[..], &["--json"]].concat(), AT_MOST);
    let runs: Value = serde_json::from_str(&finished.stdout).expect("JSON");
    let found = runs.as_array().expect("runs").iter().map(|run| {
        let procedure = run["procedure"].as_str().unwrap_or_default();
        (procedure, run["findings"].as_array().map_or(0, Vec::len))
    });
    // Camber, caster, SAI, included angle, scrub radius and trail of two wheels.
    assert_eq!(
        found.collect::<Vec<_>>(),
        [("toe_gap", 1), ("swing", 12), ("turns", 2)],
        "{runs:#}"
    );
    let mut all_same = true;
    for run in runs.as_array().expect("runs") {
        // What was kept as figures comes back to the last bit.
        let at_most = if run["procedure"] == "swing" {
            A_READING
        } else {
            0.0
        };
        for pair in run["findings"].as_array().expect("findings") {
            for key in ["difference_sigmas", "standard_change"] {
                let by = pair[key].as_f64().expect("found then and now").abs();
                assert!(by <= at_most, "{key}: {pair:#}");
                all_same &= by <= SAME;
            }
        }
    }
    let code = Some(i32::from(!all_same));
    assert_eq!((told.code, finished.code), (code, code), "{runs:#}");
    assert_eq!(
        told.stdout.contains("Every finding is the same"),
        all_same,
        "{}",
        told.stdout
    );
}
