//! The interface as its clients see it.

mod admission;
mod levelling;
mod origins;
mod reaching;
mod sample;
mod secured;
mod served;
mod setup;
mod traces;
mod visits;
mod watch;

use std::sync::Arc;

use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use axum::response::Response;
use http_body_util::BodyExt as _;
use serde_json::Value;
use tower::ServiceExt as _;

use super::views::*;
use crate::present::idle_swing;
use sample::state;
use served::{Served, served, served_at, served_to};

use crate::reach;

/// What is asked for in tests.
const HOST: &str = "127.0.0.1:8710";

async fn send(router: Router, request: Request<Body>) -> (StatusCode, Response) {
    let response = router.oneshot(request).await.unwrap();
    (response.status(), response)
}

async fn json(response: Response) -> Value {
    serde_json::from_slice(&response.into_body().collect().await.unwrap().to_bytes()).unwrap()
}

pub(super) fn request(method: &str, path: &str, body: Option<&str>) -> Request<Body> {
    let builder = Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, HOST);
    match body {
        Some(body) => builder
            .header(header::CONTENT_TYPE, "application/json")
            .body(Body::from(body.to_owned())),
        None => builder.body(Body::empty()),
    }
    .unwrap()
}

/// Checks that a request is refused with a whole problem of this status and code.
pub(super) async fn check(request: Request<Body>, status: u16, code: &str) {
    let line = format!("{} {}", request.method(), request.uri());
    let (found, response) = send(served().router, request).await;
    assert_eq!(
        response.headers()[header::CONTENT_TYPE],
        "application/problem+json",
        "{line}"
    );
    assert_eq!(
        response.headers()[header::X_CONTENT_TYPE_OPTIONS],
        "nosniff",
        "{line}"
    );
    let problem = json(response).await;
    assert_eq!(
        (found.as_u16(), problem["code"].as_str()),
        (status, Some(code)),
        "{line}: {problem}"
    );
    assert_eq!(problem["status"], status, "{line}");
    assert_eq!(problem["type"], format!("/problems/{code}"), "{line}");
    for part in ["title", "detail", "remedy"] {
        assert!(
            problem[part].as_str().is_some_and(|text| !text.is_empty()),
            "{line}: {part} of {problem}"
        );
    }
    assert_eq!(
        problem.as_object().map(serde_json::Map::len),
        Some(6),
        "{line}: {problem}"
    );
}

#[tokio::test]
async fn every_refusal_is_a_problem() {
    check(request("GET", "/api/v1/nothing", None), 404, "not_found").await;
    check(request("GET", "/nothing.js", None), 404, "not_found").await;
    check(
        request("POST", "/api/v1/state", None),
        405,
        "method_not_allowed",
    )
    .await;
    check(
        request("DELETE", "/api/v1/swing", None),
        405,
        "method_not_allowed",
    )
    .await;
    check(
        request("GET", "/api/v1/swing/cancel", None),
        405,
        "method_not_allowed",
    )
    .await;
    check(request("POST", "/", None), 405, "method_not_allowed").await;
    check(
        request("POST", "/api/v1/swing", Some("{not json")),
        400,
        "bad_json",
    )
    .await;
    check(
        request("POST", "/api/v1/swing", Some(r#"{"steer_source":"stars"}"#)),
        422,
        "body_not_understood",
    )
    .await;
    check(
        request("POST", "/api/v1/swing", Some(r#"{"speed":1}"#)),
        422,
        "body_not_understood",
    )
    .await;
    check(request("POST", "/api/v1/swing", None), 415, "not_json").await;
    let long = format!(
        "{{\"steer_source\":\"{}\"}}",
        "x".repeat(super::MOST_BODY_BYTES)
    );
    check(
        request("POST", "/api/v1/swing", Some(&long)),
        413,
        "body_too_large",
    )
    .await;
    check(
        request("POST", "/api/v1/swing", Some("{}")),
        409,
        "no_boards",
    )
    .await;
    let cancel = request("POST", "/api/v1/swing/cancel", None);
    check(cancel, 409, "no_swing").await;
    let plate = |mount: &str| format!(r#"{{"rest":1,"mount":"{mount}","plate_deg":20.0}}"#);
    check(
        request("POST", "/api/v1/swing/plate", Some(&plate("front_left"))),
        409,
        "no_swing",
    )
    .await;
    check(
        request("POST", "/api/v1/swing/plate", Some(&plate("body"))),
        422,
        "not_a_steered_wheel",
    )
    .await;
    check(
        request("POST", "/api/v1/swing/plate", Some(&plate("roof"))),
        422,
        "body_not_understood",
    )
    .await;
    let mut foreign = request("POST", "/api/v1/swing/cancel", None);
    foreign
        .headers_mut()
        .insert("sec-fetch-site", "cross-site".parse().unwrap());
    check(foreign, 403, "foreign_page").await;
}

#[tokio::test]
async fn wishes_are_refused_once_the_swing_task_has_ended() {
    let served = served();
    served.stop.cancel();
    tokio::task::yield_now().await;
    let (status, response) =
        send(served.router, request("POST", "/api/v1/swing/cancel", None)).await;
    assert_eq!(status, StatusCode::SERVICE_UNAVAILABLE);
    assert_eq!(json(response).await["code"], "stopping");
}

#[tokio::test]
async fn the_state_is_what_the_golden_file_says() {
    let (status, response) = send(served().router, request("GET", "/api/v1/state", None)).await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(response.headers()[header::CACHE_CONTROL], "no-store");
    let golden: Value = serde_json::from_str(include_str!("golden/state.json")).unwrap();
    let found = json(response).await;
    assert_eq!(
        found, golden,
        "clients depend on this shape; it is now:\n{found:#}"
    );
}

#[tokio::test]
async fn health_and_description_are_served() {
    let (status, response) = send(served().router, request("GET", "/api/v1/health", None)).await;
    assert_eq!(
        (status, json(response).await),
        (StatusCode::OK, serde_json::json!({"status": "ok"}))
    );
    let (_, response) = send(
        served().router,
        request("GET", "/api/v1/openapi.json", None),
    )
    .await;
    assert_eq!(
        json(response).await,
        serde_json::to_value(super::openapi()).unwrap()
    );
}

#[tokio::test]
async fn the_page_is_served_and_not_sent_twice() {
    let (status, response) = send(served().router, request("GET", "/", None)).await;
    assert_eq!(status, StatusCode::OK);
    assert!(
        response.headers()[header::CONTENT_TYPE]
            .to_str()
            .unwrap()
            .starts_with("text/html")
    );
    assert!(
        response
            .headers()
            .contains_key(header::CONTENT_SECURITY_POLICY)
    );
    let tag = response.headers()[header::ETAG].clone();
    let mut again = request("GET", "/", None);
    again.headers_mut().insert(header::IF_NONE_MATCH, tag);
    assert_eq!(
        send(served().router, again).await.0,
        StatusCode::NOT_MODIFIED
    );
    let head = Request::builder()
        .method(Method::HEAD)
        .uri("/")
        .header(header::HOST, HOST)
        .body(Body::empty())
        .unwrap();
    assert_eq!(send(served().router, head).await.0, StatusCode::OK);
}

/// The next event of a stream: its name and its data; comments are passed over.
async fn event(body: &mut Body) -> Option<(String, Value)> {
    loop {
        let frame = body.frame().await?.unwrap().into_data().unwrap();
        let text = String::from_utf8(frame.to_vec()).unwrap();
        let field = |name: &str| {
            text.lines()
                .find_map(|line| line.strip_prefix(name))
                .map(str::trim)
        };
        if let (Some(name), Some(data)) = (field("event:"), field("data:")) {
            return Some((name.to_owned(), serde_json::from_str(data).unwrap()));
        }
    }
}

async fn stream(served: &Served) -> Body {
    let (status, response) = send(
        served.router.clone(),
        request("GET", "/api/v1/stream", None),
    )
    .await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(
        response.headers()[header::CONTENT_TYPE],
        "text/event-stream"
    );
    response.into_body()
}

#[tokio::test(start_paused = true)]
async fn a_stream_begins_with_a_snapshot_and_then_tells_only_what_changed() {
    let served = served();
    let mut body = stream(&served).await;
    let (name, snapshot) = event(&mut body).await.unwrap();
    assert_eq!(
        (name.as_str(), &snapshot),
        ("snapshot", &serde_json::to_value(state()).unwrap())
    );

    let swing = SwingView {
        run: 2,
        ..idle_swing()
    };
    served.publish.send_replace(Arc::new(StateView {
        serial: 8,
        swing: swing.clone(),
        ..state()
    }));
    let (name, change) = event(&mut body).await.unwrap();
    assert_eq!(name, "change");
    let expected = serde_json::json!({"serial": 8, "now_us": 1_234_567, "swing": swing});
    assert_eq!(change, expected);
}

#[tokio::test(start_paused = true)]
async fn a_slow_client_gets_one_change_for_many() {
    let served = served();
    let mut body = stream(&served).await;
    event(&mut body).await.unwrap();
    for serial in 8..500 {
        let mut wheels = state().wheels;
        wheels[0].motion = if serial % 2 == 0 {
            MotionView::Still
        } else {
            MotionView::Unknown
        };
        served.publish.send_replace(Arc::new(StateView {
            serial,
            wheels,
            ..state()
        }));
    }
    let (_, change) = event(&mut body).await.unwrap();
    assert_eq!(
        (&change["serial"], &change["wheels"][0]["motion"]),
        (&499.into(), &"unknown".into())
    );
    assert!(change.get("boards").is_none(), "{change}");
}

#[tokio::test(start_paused = true)]
async fn no_client_is_told_more_than_twenty_times_a_second() {
    let served = served();
    let mut body = stream(&served).await;
    event(&mut body).await.unwrap();
    let publish = served.publish.clone();
    tokio::spawn(async move {
        for serial in 8.. {
            publish.send_replace(Arc::new(StateView {
                serial,
                findings: Vec::new(),
                swing: SwingView {
                    run: serial,
                    ..idle_swing()
                },
                ..state()
            }));
            tokio::time::sleep(std::time::Duration::from_millis(5)).await;
        }
    });
    let began = tokio::time::Instant::now();
    let mut count = 0;
    while began.elapsed() < std::time::Duration::from_secs(2) {
        event(&mut body).await.unwrap();
        count += 1;
    }
    assert!((36..=42).contains(&count), "{count} changes in two seconds");
}

#[tokio::test(start_paused = true)]
async fn a_stream_with_nothing_to_say_shows_that_it_is_alive() {
    let served = served();
    let mut body = stream(&served).await;
    event(&mut body).await.unwrap();
    let began = tokio::time::Instant::now();
    for second in 1..=3 {
        let (name, beat) = event(&mut body).await.unwrap();
        assert_eq!(name, "change");
        assert_eq!(beat["serial"], 7, "nothing is missing: {beat}");
        assert_eq!(beat.as_object().unwrap().len(), 2, "no section: {beat}");
        assert_eq!(began.elapsed().as_secs(), second);
    }
}

#[tokio::test(start_paused = true)]
async fn a_stream_ends_with_the_daemon() {
    let served = served();
    let mut body = stream(&served).await;
    event(&mut body).await.unwrap();
    served.stop.cancel();
    assert_eq!(event(&mut body).await, None);
}
