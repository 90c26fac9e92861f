//! Requests for a daemon without boards, in this process: no port is opened.

use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::{Request, header};
use http_body_util::BodyExt as _;
use hubplumb::calibration_store::CalibrationStore;
use hubplumb::clock::DaemonClock;
use hubplumb::config;
use hubplumb::daemon::{Daemon, DaemonOptions};
use hubplumb::http;
use hubplumb::journal::Journal;
use hubplumb::link::{PortTree, Ways};
use hubplumb::pairing::{Commands, PairingDesk};
use hubplumb::reach::{self, ReachOptions};
use hubplumb::store::Store;
use hubplumb::visiting::VisitDesk;
use serde_json::Value;
use tempfile::TempDir;
use tokio::runtime::Runtime;
use tokio_util::sync::CancellationToken;
use tower::ServiceExt as _;

use super::BETWEEN;

/// More requests than this in one input only take time.
const MOST_REQUESTS: usize = 12;

/// No answer takes longer.
const PATIENCE: Duration = Duration::from_secs(8);

/// No answer is larger: the description of the interface has some hundred kB.
const LARGEST: usize = 4 << 20;

/// What reaches out of this process, to a radio, to the network or to other programs.
const LEFT_OUT: [&str; 3] = ["/setup/bluetooth", "/setup/take-in", "/practice"];

/// Two streams never end.
const ENDLESS: [&str; 2] = ["/api/v1/stream", "/api/v1/traces"];

/// Two boards that are named and not there.
const CONFIG: &str = "[[board]]\nport = \"/nowhere/left\"\nmount = \"front_left\"\n\
    [[board]]\nport = \"/nowhere/right\"\n";

/// Every method and path of the interface, in order.
fn operations() -> Vec<(String, String)> {
    let document = serde_json::to_value(http::openapi()).expect("the description is JSON");
    let paths = document["paths"].as_object().expect("paths");
    paths
        .iter()
        .filter(|(path, _)| !LEFT_OUT.iter().any(|part| path.contains(part)))
        .flat_map(|(path, item)| {
            let methods = item.as_object().into_iter().flatten();
            methods
                .filter(|(method, _)| ["get", "post", "put", "delete"].contains(&method.as_str()))
                .map(|(method, _)| (method.to_uppercase(), path.clone()))
        })
        .collect()
}

/// What all runs share.
struct Bench {
    runtime: Runtime,
    operations: Vec<(String, String)>,
    folder: TempDir,
}

fn bench() -> &'static Bench {
    static BENCH: OnceLock<Bench> = OnceLock::new();
    BENCH.get_or_init(|| Bench {
        runtime: tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .expect("a runtime"),
        operations: operations(),
        folder: tempfile::tempdir().expect("a folder"),
    })
}

fn start(folder: &Path, stop: &CancellationToken) -> (Daemon, Router) {
    let mut ways = Ways::system();
    ways.ports = PortTree::listing(folder);
    let options = DaemonOptions {
        config: config::parse(CONFIG, Path::new("car.toml")).expect("a sound configuration"),
        ways,
        scenario: None,
        clock: DaemonClock::starting_now(),
        record: None,
        store: CalibrationStore::at(folder.join("calibrations")),
        journal: Journal::off(),
        visits: VisitDesk::new(Store::in_memory()),
        practice: None,
    };
    let daemon = Daemon::start(options, stop);
    let listen = SocketAddr::from((Ipv4Addr::LOCALHOST, 1));
    let (desk, _task) = reach::open(ReachOptions {
        listen,
        https: false,
        announce: false,
        names: Vec::new(),
        folder: None::<PathBuf>,
    })
    .expect("ways in");
    // Whoever is not let in gets no further than the door, and what is behind it is what is tried.
    let pairing = PairingDesk::at(Commands::Open, None);
    let router = http::router(daemon.app(), desk, pairing);
    (daemon, router)
}

/// Any requests, one after the other: each has a line that names the operation, one for what
/// stands in its address, and the rest is its body. A line that names no operation chooses one, too.
pub fn requests(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    let bench = bench();
    bench.runtime.block_on(async {
        let stop = CancellationToken::new();
        let (daemon, router) = start(bench.folder.path(), &stop);
        for request in text.split(BETWEEN).take(MOST_REQUESTS) {
            let (operation, rest) = request.split_once('\n').unwrap_or((request, ""));
            let (line, body) = rest.split_once('\n').unwrap_or((rest, ""));
            let (method, path) = chosen(&bench.operations, operation);
            let Some(request) = built(method, path, line, body) else {
                continue;
            };
            let asked = format!("{method} {}", request.uri());
            let answered = tokio::time::timeout(PATIENCE, judge(&router, request, path, &asked));
            assert!(
                answered.await.is_ok(),
                "{asked}: no answer within {PATIENCE:?}"
            );
        }
        stop.cancel();
        let ended = tokio::time::timeout(PATIENCE, daemon.ended()).await;
        assert!(ended.is_ok(), "the daemon does not end");
    });
}

fn chosen<'a>(operations: &'a [(String, String)], line: &str) -> &'a (String, String) {
    let named = operations.iter().find(|(method, path)| {
        line.strip_prefix(method.as_str())
            .is_some_and(|rest| rest.trim_start() == path)
    });
    named.unwrap_or_else(|| {
        let sum: usize = line.bytes().map(usize::from).sum();
        &operations[sum % operations.len()]
    })
}

/// The request; none where the line makes no address.
fn built(method: &str, path: &str, line: &str, body: &str) -> Option<Request<Body>> {
    let (parameter, query) = line.split_once('?').unwrap_or((line, ""));
    let path = match (path.find('{'), path.find('}')) {
        (Some(from), Some(to)) => format!("{}{parameter}{}", &path[..from], &path[to + 1..]),
        _ => path.to_owned(),
    };
    Request::builder()
        .method(method)
        .uri(format!("{path}?{query}"))
        .header(header::CONTENT_TYPE, "application/json")
        .body(Body::from(body.to_owned()))
        .ok()
}

async fn judge(router: &Router, request: Request<Body>, path: &str, asked: &str) {
    let answer = router
        .clone()
        .oneshot(request)
        .await
        .expect("a router never fails");
    let status = answer.status();
    assert_ne!(status.as_u16(), 500, "{asked}");
    if status.is_success() && ENDLESS.contains(&path) {
        return;
    }
    let kind = answer.headers().get(header::CONTENT_TYPE).cloned();
    let body = answer
        .into_body()
        .collect()
        .await
        .expect("a body")
        .to_bytes();
    assert!(body.len() <= LARGEST, "{asked}: {} bytes", body.len());
    if !status.is_client_error() && !status.is_server_error() {
        return;
    }
    assert_eq!(
        kind.and_then(|kind| kind.to_str().map(str::to_owned).ok())
            .as_deref(),
        Some("application/problem+json"),
        "{asked}: {status}"
    );
    let problem: Value = serde_json::from_slice(&body).expect("a problem is JSON");
    for part in ["title", "detail", "remedy", "code"] {
        let said = problem[part].as_str().unwrap_or_default();
        assert!(!said.trim().is_empty(), "{asked}: no {part} in {problem}");
    }
    assert_eq!(problem["status"], status.as_u16());
}
