//! What is measured, and what measuring costs.

use std::sync::Arc;
use std::time::Duration;

use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;
use tokio::sync::watch;
use tokio::time::Instant;

use super::*;
use crate::board::{Board, Intake};
use crate::config;
use crate::store::Store;

fn board() -> Arc<Board> {
    let text = "[[board]]\nid = \"a \\\"b\\\"\"\nmount = \"front_left\"\n";
    let config = config::parse(text, "car.toml".as_ref()).unwrap();
    Arc::new(Board::new(0, &config.boards[0], config.floor))
}

fn instruments(boards: Vec<Arc<Board>>) -> Instruments {
    let (_publish, boards) = watch::channel(boards);
    Instruments::over(
        boards,
        Inlets::default(),
        VisitDesk::new(Store::in_memory()),
        DaemonClock::starting_now(),
    )
}

fn line_of<'a>(text: &'a str, beginning: &str) -> Option<&'a str> {
    text.lines().find_map(|line| line.strip_prefix(beginning))
}

#[tokio::test(start_paused = true)]
async fn what_is_shown_after_a_time_is_counted_at_that_time() {
    let instruments = instruments(vec![board()]);
    let board = instruments.boards.borrow()[0].clone();
    for _ in 0..3 {
        board.arrived(Instant::now());
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    instruments
        .latency
        .shown(&board.take_arrivals(), Instant::now());
    // Told once.
    instruments
        .latency
        .shown(&board.take_arrivals(), Instant::now());
    let text = exposition(&instruments).unwrap();
    let bucket = |le: &str| {
        let begins = format!("hubplumb_snapshot_latency_seconds_bucket{{le=\"{le}\"}} ");
        line_of(&text, &begins).unwrap().to_owned()
    };
    assert_eq!(bucket("0.01"), "0");
    assert_eq!(bucket("0.025"), "1");
    assert_eq!(bucket("0.05"), "2");
    assert_eq!(bucket("0.075"), "3");
    assert_eq!(
        line_of(&text, "hubplumb_snapshot_latency_seconds_count "),
        Some("3")
    );
}

#[test]
fn clients_are_counted_while_they_listen() {
    let streams = Streams::default();
    let (one, two) = (streams.to_state(), streams.clone().to_traces());
    assert_eq!(streams.clients(), [("state", 1), ("traces", 1)]);
    drop(one);
    assert_eq!(streams.clients(), [("state", 0), ("traces", 1)]);
    drop(two);
    assert_eq!(streams.clients(), [("state", 0), ("traces", 0)]);
}

#[test]
fn names_of_boards_are_escaped_and_what_is_not_known_is_missing() {
    let text = exposition(&instruments(vec![board()])).unwrap();
    assert_eq!(
        line_of(&text, "hubplumb_board_frames_total{board=\"a \\\"b\\\"\"} "),
        Some("0"),
        "{text}"
    );
    assert!(
        !text.contains("hubplumb_board_reading_age_seconds{"),
        "{text}"
    );
    assert_eq!(line_of(&text, "hubplumb_store_open "), Some("1"), "{text}");
    assert!(text.contains("process_resident_memory_bytes "), "{text}");
}

#[test]
fn every_name_says_what_it_counts_and_in_what_unit() {
    let text = exposition(&instruments(vec![board()])).unwrap();
    let kinds = text.lines().filter_map(|line| line.strip_prefix("# TYPE "));
    let mut seen = 0;
    for (name, kind) in kinds.filter_map(|line| line.split_once(' ')) {
        seen += 1;
        assert_eq!(
            name.ends_with("_total"),
            kind == "counter",
            "{name} is a {kind}"
        );
        assert!(
            text.contains(&format!("# HELP {name} ")),
            "{name} is not explained"
        );
    }
    assert!(seen > 15, "{text}");
}

/// What is done for the figures alone on the way of a reading.
#[test]
fn recording_allocates_nothing() {
    let instruments = instruments(vec![board()]);
    let board = instruments.boards.borrow()[0].clone();
    let done = allocation_counter::measure(|| {
        for _ in 0..100 {
            board.arrived(Instant::now());
            let arrivals = board.take_arrivals();
            instruments.latency.shown(&arrivals, Instant::now());
            instruments.pulse.beat();
        }
    });
    assert_eq!(done.count_total, 0, "{done:?}");
    let collected = allocation_counter::measure(|| drop(exposition(&instruments)));
    assert!(collected.count_total > 0, "the counter counts");
}

#[test]
fn the_age_is_that_of_the_last_reading() {
    let instruments = instruments(vec![board()]);
    let board = instruments.boards.borrow()[0].clone();
    let intake = Intake::new(board, Inlets::default(), None);
    let reading = Reading {
        accel_g: Some([0.0, 0.0, 1.0]),
        ..Reading::default()
    };
    intake.take(HostTime::from_us(-3_000_000), &[reading]);
    let text = exposition(&instruments).unwrap();
    let age = line_of(
        &text,
        "hubplumb_board_reading_age_seconds{board=\"a \\\"b\\\"\"} ",
    );
    let age: f64 = age.unwrap().parse().unwrap();
    assert!((3.0..30.0).contains(&age), "{age}");
}
