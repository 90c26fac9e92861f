//! What whoever watches over the daemon is told.

use std::time::Duration;

use axum::http::{StatusCode, header};
use http_body_util::BodyExt as _;
use serde_json::Value;

use super::{Served, json, request, send, served};

/// Status and body of readiness.
async fn ready(served: &Served) -> (StatusCode, Value) {
    let asked = request("GET", "/api/v1/ready", None);
    let (status, response) = send(served.router.clone(), asked).await;
    (status, json(response).await)
}

/// Name and code of the first check that is not well.
fn wrong(view: &Value) -> Option<(&str, &str)> {
    let checks = view["checks"].as_array().unwrap();
    let wrong = checks.iter().find(|check| check["ok"] == false)?;
    let trouble = &wrong["trouble"];
    for part in ["what", "meaning", "remedy"] {
        assert!(
            trouble[part]
                .as_str()
                .is_some_and(|text| text.ends_with('.')),
            "{trouble}"
        );
    }
    Some((wrong["name"].as_str()?, trouble["code"].as_str()?))
}

#[tokio::test(start_paused = true)]
async fn a_daemon_is_ready_while_its_pulse_beats_and_until_it_stops() {
    let served = served();
    let (status, view) = ready(&served).await;
    assert_eq!(
        (status.as_u16(), view["status"].as_str()),
        (200, Some("ready"))
    );
    assert_eq!(wrong(&view), None);

    tokio::time::sleep(Duration::from_secs(3)).await;
    let (status, view) = ready(&served).await;
    assert_eq!(
        (status.as_u16(), view["status"].as_str()),
        (503, Some("not_ready"))
    );
    assert_eq!(wrong(&view), Some(("snapshot", "no_pulse")));

    served.instruments.pulse.beat();
    assert_eq!(ready(&served).await.0, 200);

    served.stop.cancel();
    let (status, view) = ready(&served).await;
    assert_eq!(status, 503);
    assert_eq!(wrong(&view), Some(("running", "stopping")));
}

#[tokio::test]
async fn figures_are_given_in_the_format_that_collectors_read() {
    let served = served();
    let asked = request("GET", "/metrics", None);
    let (status, response) = send(served.router.clone(), asked).await;
    assert_eq!(status, 200);
    assert_eq!(
        response.headers()[header::CONTENT_TYPE],
        "text/plain; version=0.0.4; charset=utf-8"
    );
    let body = response.into_body().collect().await.unwrap().to_bytes();
    let text = String::from_utf8(body.to_vec()).unwrap();
    assert!(text.contains("hubplumb_build_info{version="), "{text}");
}

#[tokio::test]
async fn a_client_of_a_stream_is_counted_until_it_goes() {
    let served = served();
    let clients = || served.instruments.streams.clients();
    let open = |path| send(served.router.clone(), request("GET", path, None));
    let (_, state) = open("/api/v1/stream").await;
    let (_, traces) = open("/api/v1/traces").await;
    assert_eq!(clients(), [("state", 1), ("traces", 1)]);
    drop(state);
    assert_eq!(clients(), [("state", 0), ("traces", 1)]);
    drop(traces);
    assert_eq!(clients(), [("state", 0), ("traces", 0)]);
}
