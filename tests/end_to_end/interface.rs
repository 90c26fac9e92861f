//! The HTTP interface as a client sees it.

use std::time::Duration;

use hubplumb_sim::Mount;
use hubplumb_tests::{Daemon, Event, Garage};
use serde_json::Value;

const SOON: Duration = Duration::from_secs(10);

fn without_boards() -> Daemon {
    let folder = tempfile::tempdir().expect("a folder");
    // Named and not there: no port of this machine is touched.
    Daemon::with_config(
        folder.path(),
        "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n",
    )
}

#[test]
fn the_stream_begins_with_a_snapshot_and_goes_on_with_changes() {
    let garage = Garage::shipped("garage-good", Some(21));
    let stream = garage.daemon.stream();
    let Event::Named(name, snapshot) = stream.next(SOON) else {
        panic!("a heartbeat came first")
    };
    assert_eq!(name, "snapshot");
    for section in [
        "version", "serial", "now_us", "boards", "wheels", "swing", "findings",
    ] {
        assert!(!snapshot[section].is_null(), "{section}: {snapshot:#}");
    }
    let mut serial = snapshot["serial"].as_u64().expect("a serial");
    let mut wheels = 0;
    for _ in 0..20 {
        let Event::Named(name, change) = stream.next(SOON) else {
            continue;
        };
        assert_eq!(name, "change");
        let next = change["serial"].as_u64().expect("a serial");
        assert!(next > serial, "{next} after {serial}");
        serial = next;
        wheels += u32::from(!change["wheels"].is_null());
    }
    assert!(wheels > 5, "live camber came with {wheels} of 20 changes");
    garage.sim.unplug(Mount::FrontLeft).expect("unplugged");
    for _ in 0..40 {
        if let Event::Named(_, change) = stream.next(SOON)
            && change["boards"].to_string().contains("\"absent\"")
        {
            return;
        }
    }
    panic!("the lost board never came over the stream");
}

#[test]
fn a_stream_without_news_beats_so_that_a_dead_link_is_noticed() {
    let daemon = without_boards();
    let stream = daemon.stream();
    for _ in 0..10 {
        if stream.next(SOON) == Event::Heartbeat {
            return;
        }
    }
    panic!("no heartbeat among ten events");
}

#[test]
fn health_state_page_and_document_are_served() {
    let daemon = without_boards();
    for (path, kind, holds) in [
        ("/api/v1/health", "application/json", "\"ok\""),
        ("/api/v1/state", "application/json", "\"boards\""),
        ("/api/v1/openapi.json", "application/json", "\"openapi\""),
        ("/", "text/html", "<script"),
    ] {
        let (status, found, body) = daemon.get(path);
        assert_eq!(status, 200, "{path}: {body}");
        assert!(found.starts_with(kind), "{path} is {found}");
        assert!(body.contains(holds), "{path}: {body}");
    }
}

#[test]
fn the_document_served_is_the_one_in_the_repository() {
    let served: Value =
        serde_json::from_str(&without_boards().get("/api/v1/openapi.json").2).expect("JSON");
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/openapi.json");
    let kept: Value =
        serde_json::from_str(&std::fs::read_to_string(kept).expect("kept")).expect("JSON");
    assert!(served == kept, "docs/openapi.json is not what is served");
}

/// Every refusal tells what happened and what to do, as RFC 9457 has it.
#[test]
fn refused_requests_are_problems_with_a_remedy() {
    let daemon = without_boards();
    for (path, body, status) in [
        ("/api/v1/swing", "{}", 409),
        ("/api/v1/swing", "{\"steer_source\":\"stars\"}", 422),
        ("/api/v1/swing", "{\"speed\":1}", 422),
        ("/api/v1/swing", "not JSON", 400),
        (
            "/api/v1/swing/plate",
            "{\"rest\":1,\"mount\":\"front_left\",\"plate_deg\":20}",
            409,
        ),
        ("/api/v1/nothing", "{}", 404),
    ] {
        let (found, kind, answer) = daemon.post_text(path, body);
        assert_eq!(found, status, "{path} {body}: {answer}");
        assert!(
            kind.starts_with("application/problem+json"),
            "{path} {body}: {kind}"
        );
        let problem: Value = serde_json::from_str(&answer).expect("JSON");
        assert_eq!(problem["status"], status, "{problem:#}");
        for key in ["type", "title", "detail", "remedy", "code"] {
            assert!(
                problem[key].as_str().is_some_and(|text| !text.is_empty()),
                "{key}: {problem:#}"
            );
        }
    }
}
