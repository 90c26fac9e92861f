//! The stream of traces as its clients see it.

use std::time::Duration;

use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;
use tokio::time::{Instant, sleep};

use super::*;
use crate::board::{Board, Inlets, Intake};
use crate::config;
use crate::link::{LinkState, LinkStatus};

/// What is shown needs eight readings.
const SETTLED: usize = 8;

/// The way into a board on the left front hub that stands upright, Y up.
fn intake(served: &Served) -> Intake {
    let text = "[[board]]\nname = \"left\"\nport = \"here\"\nmount = \"front_left\"\n\
        mounting = { outboard = \"+z\", up = \"+y\" }\nchip = \"good\"\n";
    let config = config::parse(text, "car.toml".as_ref()).unwrap();
    let board = Arc::new(Board::new(0, &config.boards[0], config.floor));
    let inlets = Inlets {
        traces: served.traces.clone(),
        ..Inlets::default()
    };
    Intake::new(board, inlets, None)
}

/// A reading at so many milliseconds; told when it was taken, so that nothing is fitted.
fn hear(intake: &Intake, at_ms: i64) {
    let reading = Reading {
        accel_g: Some([0.0, 1.0, 0.02]),
        ..Reading::default()
    };
    intake.take(HostTime::from_us(at_ms * 1000), &[reading]);
}

async fn traces(served: &Served) -> Body {
    let line = request("GET", "/api/v1/traces", None);
    let (status, response) = send(served.router.clone(), line).await;
    assert_eq!(status, StatusCode::OK);
    let kind = &response.headers()[header::CONTENT_TYPE];
    assert_eq!(kind, "text/event-stream");
    response.into_body()
}

/// The next batch, which has one board in it.
async fn batch(body: &mut Body) -> Value {
    let (name, data) = event(body).await.unwrap();
    assert_eq!(name, "traces");
    let boards = data["boards"].as_array().unwrap();
    assert_eq!(boards.len(), 1, "{data}");
    let board = &boards[0];
    let long = |list: &str| board[list].as_array().unwrap().len();
    assert_eq!(long("at_us"), long("lean_deg"), "{board}");
    assert_eq!(long("at_us"), long("pitch_deg"), "{board}");
    board.clone()
}

fn angles(board: &Value) -> usize {
    let list = board["lean_deg"].as_array().unwrap();
    list.iter().filter(|angle| !angle.is_null()).count()
}

#[tokio::test(start_paused = true)]
async fn nothing_is_worked_out_while_nobody_listens() {
    let served = served();
    let intake = intake(&served);
    for at in 0..100 {
        hear(&intake, at * 10);
    }
    let mut body = traces(&served).await;
    hear(&intake, 1000);
    let first = batch(&mut body).await;
    assert_eq!(first["at_us"], serde_json::json!([1_000_000]), "{first}");
    drop(body);
    assert!(!served.traces.is_wanted());
}

#[tokio::test(start_paused = true)]
async fn every_angle_arrives_in_at_most_twenty_batches_a_second() {
    let served = served();
    let mut body = traces(&served).await;
    let intake = intake(&served);
    let writing = tokio::spawn(async move {
        for at in 0..500 {
            hear(&intake, at * 10);
            sleep(Duration::from_millis(10)).await;
        }
        intake
    });
    let began = Instant::now();
    let (mut batches, mut seen, mut gaps) = (0, 0, Vec::new());
    while seen < 500 - SETTLED + 1 {
        let board = batch(&mut body).await;
        batches += 1;
        seen += angles(&board);
        gaps.extend(board["gaps"].as_array().unwrap().clone());
        assert_eq!(board["lost"], 0, "{board}");
        if angles(&board) > 0 {
            assert!(
                board["lean_expanded_deg"].as_f64().unwrap() > 0.0,
                "{board}"
            );
        }
        for angle in board["lean_deg"].as_array().unwrap() {
            // Four decimals, and not one more.
            assert!(angle.to_string().len() <= "-1.2345".len(), "{angle}");
        }
    }
    writing.await.unwrap();
    assert_eq!(gaps, ["settling"]);
    let seconds = began.elapsed().as_secs_f64();
    assert!(
        f64::from(batches) <= 20.0 * seconds + 1.0,
        "{batches} in {seconds} s"
    );
    assert!(batches > 80, "{batches}");
}

#[tokio::test(start_paused = true)]
async fn who_listens_too_slowly_loses_the_oldest_and_is_told_how_many() {
    let served = served();
    let mut body = traces(&served).await;
    let intake = intake(&served);
    hear(&intake, 0);
    batch(&mut body).await;
    for at in 1..10_000 {
        hear(&intake, at * 10);
    }
    let board = batch(&mut body).await;
    // The first one of all was the gap; so many of those that came after it are not here.
    let lost = board["lost"].as_u64().unwrap();
    assert!(lost > 1000, "{lost}");
    assert_eq!(angles(&board) as u64 + lost, 10_000 - SETTLED as u64 + 1);
    assert_eq!(board["gaps"], serde_json::json!(["lost"]));
    assert_eq!(board["lean_deg"][0], Value::Null);
    assert_eq!(board["at_us"][0], board["at_us"][1]);
    assert_eq!(
        board["at_us"].as_array().unwrap().last().unwrap(),
        99_990_000
    );
}

#[tokio::test(start_paused = true)]
async fn a_board_that_goes_away_leaves_a_gap() {
    let served = served();
    let mut body = traces(&served).await;
    let mut intake = intake(&served);
    let mut status = LinkStatus::new("here".to_owned());
    status.state = LinkState::Live;
    intake.shows(&status);
    for at in 0..20 {
        hear(&intake, at * 10);
    }
    status.state = LinkState::Silent;
    intake.shows(&status);
    let wanted = "here".to_owned();
    status.state = LinkState::Absent { wanted };
    intake.shows(&status);
    let board = batch(&mut body).await;
    assert_eq!(
        board["gaps"],
        serde_json::json!(["settling", "stale", "absent"])
    );
    assert_eq!(board["at_us"].as_array().unwrap().last().unwrap(), 190_001);
    // Back again, long after: the line goes on, and nothing is joined over the gap.
    for at in 500..520 {
        hear(&intake, at * 10);
    }
    let board = batch(&mut body).await;
    assert!(angles(&board) >= 10, "{board}");
    let first = &board["lean_deg"][0];
    assert!(first.is_null(), "{board}");
}

#[tokio::test(start_paused = true)]
async fn traces_end_with_the_daemon() {
    let served = served();
    let mut body = traces(&served).await;
    served.stop.cancel();
    assert_eq!(event(&mut body).await, None);
}
