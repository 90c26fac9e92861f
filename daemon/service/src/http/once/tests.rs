//! The layer as a client sees it, with a command behind it that counts how often it is done.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use axum::Router;
use axum::http::header;
use axum::middleware::from_fn_with_state;
use axum::routing::post;
use proptest::prelude::*;
use serde_json::Value;
use tokio::time::{advance, sleep};
use tower::ServiceExt as _;

use super::*;

/// How long a command takes, paused time.
const TAKES: Duration = Duration::from_secs(2);

#[derive(Clone)]
struct Bench {
    begun: Arc<AtomicUsize>,
    done: Arc<AtomicUsize>,
    once: Once,
}

impl Default for Bench {
    fn default() -> Self {
        Self {
            begun: Arc::default(),
            done: Arc::default(),
            once: Once::in_run("this run", &crate::http::interface::routed().1),
        }
    }
}

impl Bench {
    fn router(&self) -> Router {
        let bench = self.clone();
        let command = move |body: String| {
            let bench = bench.clone();
            async move {
                let nth = bench.begun.fetch_add(1, Ordering::SeqCst) + 1;
                sleep(TAKES).await;
                assert_ne!(body, "panic", "the command breaks off");
                bench.done.fetch_add(1, Ordering::SeqCst);
                let here = [(header::LOCATION, "/here")];
                (StatusCode::CREATED, here, format!("{body} {nth}"))
            }
        };
        Router::new()
            .route("/a", post(command.clone()).put(command.clone()))
            .route("/b", post(command))
            .layer(from_fn_with_state(self.once.clone(), once))
    }

    async fn ask(&self, request: Request) -> (StatusCode, String) {
        let response = self.router().oneshot(request).await.unwrap();
        let status = response.status();
        let body = response.into_body().collect().await.unwrap().to_bytes();
        (status, String::from_utf8(body.to_vec()).unwrap())
    }

    fn done(&self) -> usize {
        self.done.load(Ordering::SeqCst)
    }
}

fn request(method: &str, path: &str, key: Option<&str>, body: &str) -> Request {
    let mut request = axum::http::Request::builder().method(method).uri(path);
    if let Some(key) = key {
        request = request.header(key::HEADER, format!("\"{key}\""));
    }
    request.body(Body::from(body.to_owned())).unwrap()
}

fn press(key: &str) -> Request {
    request("POST", "/a", Some(key), "do")
}

fn code(body: &str) -> String {
    let problem: Value = serde_json::from_str(body).unwrap();
    for part in ["title", "detail", "remedy"] {
        assert!(problem[part].as_str().is_some_and(|text| !text.is_empty()));
    }
    problem["code"].as_str().unwrap().to_owned()
}

#[tokio::test(start_paused = true)]
async fn a_command_is_done_once_under_its_key_and_answered_alike() {
    let bench = Bench::default();
    let first = bench.router().oneshot(press("k")).await.unwrap();
    let again = bench.router().oneshot(press("k")).await.unwrap();
    assert_eq!(first.headers(), again.headers());
    assert_eq!(again.headers()[header::LOCATION], "/here");
    let again = bench.ask(press("k")).await;
    assert_eq!(again, (StatusCode::CREATED, "do 1".to_owned()));
    assert_eq!(bench.done(), 1);
    assert_eq!(bench.ask(press("other")).await.1, "do 2");
}

#[tokio::test(start_paused = true)]
async fn without_a_key_every_request_counts() {
    let bench = Bench::default();
    for nth in 1..=2 {
        let (_, body) = bench.ask(request("POST", "/a", None, "do")).await;
        assert_eq!(body, format!("do {nth}"));
    }
}

#[tokio::test(start_paused = true)]
async fn a_second_request_waits_for_the_first_that_runs() {
    let bench = Bench::default();
    let (first, second) = tokio::join!(bench.ask(press("k")), async {
        sleep(TAKES / 2).await;
        bench.ask(press("k")).await
    });
    assert_eq!(first, second);
    assert_eq!(bench.done(), 1);
}

#[tokio::test(start_paused = true)]
async fn a_key_of_another_request_is_refused_and_nothing_is_done() {
    let bench = Bench::default();
    bench.ask(press("k")).await;
    for other in [
        request("PUT", "/a", Some("k"), "do"),
        request("POST", "/b", Some("k"), "do"),
        request("POST", "/a?x=1", Some("k"), "do"),
        request("POST", "/a", Some("k"), "do more"),
    ] {
        let (status, body) = bench.ask(other).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(code(&body), "idempotency_key_reused");
    }
    assert_eq!(bench.done(), 1);
}

#[tokio::test(start_paused = true)]
async fn no_device_is_given_what_another_was_answered() {
    let bench = Bench::default();
    let from = |commander: Commander| {
        let mut press = press("k");
        press.extensions_mut().insert(commander);
        bench.ask(press)
    };
    assert_eq!(from(Commander::Device(1)).await.1, "do 1");
    assert_eq!(from(Commander::Device(2)).await.1, "do 2");
    assert_eq!(from(Commander::Anybody).await.1, "do 3");
    assert_eq!(from(Commander::Device(1)).await.1, "do 1");
    assert_eq!(bench.done(), 3);
}

#[tokio::test(start_paused = true)]
async fn a_key_that_is_no_string_is_refused_and_nothing_is_done() {
    let bench = Bench::default();
    let mut bare = press("k");
    bare.headers_mut().insert(key::HEADER, "k".parse().unwrap());
    let (status, body) = bench.ask(bare).await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
    assert_eq!(code(&body), "idempotency_key_malformed");
    assert_eq!(bench.done(), 0);
}

#[tokio::test(start_paused = true)]
async fn a_command_meant_for_another_run_of_the_daemon_is_refused() {
    let bench = Bench::default();
    for (run, status, done) in [
        ("an earlier run", StatusCode::CONFLICT, 0),
        ("this run", StatusCode::CREATED, 1),
    ] {
        let mut press = press("k");
        press.headers_mut().insert(RUN, run.parse().unwrap());
        let (found, body) = bench.ask(press).await;
        assert_eq!((found, bench.done()), (status, done), "{run}");
        if found == StatusCode::CONFLICT {
            assert_eq!(code(&body), "started_anew");
        }
    }
}

/// A client that goes away takes the future of its request with it, as the server does.
#[tokio::test(start_paused = true)]
async fn a_broken_connection_does_not_stop_the_command() {
    for key in [Some("k"), None] {
        let bench = Bench::default();
        let asked = bench.ask(request("POST", "/a", key, "do"));
        assert!(
            tokio::time::timeout(TAKES / 2, asked).await.is_err(),
            "it is dropped in the middle"
        );
        assert_eq!(bench.done(), 0);
        sleep(TAKES).await;
        assert_eq!(bench.done(), 1, "{key:?}");
    }
}

#[tokio::test(start_paused = true)]
async fn a_command_that_breaks_off_is_not_done_again_under_its_key() {
    let bench = Bench::default();
    for _ in 0..2 {
        let (status, body) = bench.ask(request("POST", "/a", Some("k"), "panic")).await;
        assert_eq!(status, StatusCode::INTERNAL_SERVER_ERROR);
        assert_eq!(code(&body), "command_broke");
    }
    assert_eq!(bench.begun.load(Ordering::SeqCst), 1);
}

#[tokio::test(start_paused = true)]
async fn a_flood_is_refused_before_a_young_key_is_given_up() {
    let bench = Bench::default();
    let asked = (0..ledger::MOST_KEYS).map(|nth| {
        let bench = bench.clone();
        async move { bench.ask(press(&nth.to_string())).await.0 }
    });
    let statuses = futures_util::future::join_all(asked).await;
    assert!(statuses.iter().all(|status| *status == StatusCode::CREATED));
    let (status, body) = bench.ask(press("one more")).await;
    assert_eq!(status, StatusCode::SERVICE_UNAVAILABLE);
    assert_eq!(code(&body), "too_many_commands");
    assert_eq!(bench.ask(press("0")).await.0, StatusCode::CREATED);
    assert_eq!(bench.done(), ledger::MOST_KEYS);
    advance(ledger::YOUNG).await;
    assert_eq!(bench.ask(press("one more")).await.0, StatusCode::CREATED);
}

#[tokio::test(start_paused = true)]
async fn a_body_that_is_too_large_is_refused_before_its_key_is_taken() {
    let bench = Bench::default();
    let long = "x".repeat(MOST_BODY_BYTES + 1);
    let (status, body) = bench.ask(request("POST", "/a", Some("k"), &long)).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(code(&body), "body_too_large");
    assert_eq!(bench.ask(press("k")).await.0, StatusCode::CREATED);
}

/// How long a client waits before it hangs up; none when it waits for the answer.
fn patience() -> impl Strategy<Value = Option<u64>> {
    prop_oneof![
        Just(None),
        (0..3_000_u64).prop_map(Some),
        (0..5_u64).prop_map(Some)
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// However often and early the client hangs up, the command is done once.
    #[test]
    fn whatever_is_lost_the_command_is_done_once(tries in prop::collection::vec(patience(), 1..8)) {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_time()
            .start_paused(true)
            .build()
            .unwrap();
        runtime.block_on(async {
            let bench = Bench::default();
            let mut answers = Vec::new();
            for patience in tries {
                let asked = bench.ask(press("k"));
                match patience {
                    None => answers.push(asked.await),
                    Some(ms) => {
                        let heard = tokio::time::timeout(Duration::from_millis(ms), asked).await;
                        answers.extend(heard.ok());
                    }
                }
            }
            // Longer than it takes: both may end within one tick of the clock.
            sleep(TAKES * 2).await;
            assert_eq!(bench.done(), 1);
            for answer in answers {
                assert_eq!(answer, (StatusCode::CREATED, "do 1".to_owned()));
            }
        });
    }
}

#[test]
fn what_a_path_never_takes_is_told_by_the_path() {
    let once = Bench::default().once;
    let check = |method: Method, path: &str, never: bool| {
        let request = Request::builder().method(&method).uri(path);
        let request = request.body(Body::empty()).unwrap();
        assert_eq!(once.is_never_taken(&request), never, "{method} {path}");
    };
    check(Method::POST, "/api/v1/check", false);
    check(Method::PUT, "/api/v1/check", true);
    check(Method::PUT, "/api/v1/cars/7", false);
    check(Method::POST, "/api/v1/cars/7", true);
    check(Method::POST, "/api/v1/cars/import", false);
    check(Method::PUT, "/api/v1/cars/import", true);
    check(Method::PUT, "/nowhere", false);
    check(Method::PUT, "/api/v1/check/and/more", false);
}
