//! Boards that are tapped, placed, moved, and placed again after a start.

use std::sync::Arc;

use hubplumb_core::angle::Angle;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;
use tempfile::TempDir;
use tokio::sync::watch;
use tokio_util::sync::CancellationToken;

use super::*;
use crate::board::{Board, Inlets, Intake, Seat, Sits, status_of};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::{BoardConfig, SwingConfig};
use crate::journal::{Journal, Presence};
use crate::levelling::{LevelBoards, LevelTask};
use crate::mount::Mount;
use crate::setup_store::{SetupError, SetupStore};

/// Boards that rest with y up, and hands to tap them.
struct Rig {
    boards: Vec<Arc<Board>>,
    intakes: Vec<Intake>,
    placer: Placer,
    naming: NamingHandle,
    now_us: i64,
    _publish: watch::Sender<Vec<Arc<Board>>>,
    _stop: tokio_util::sync::DropGuard,
}

fn rig(folder: &TempDir, ids: &[&str]) -> Rig {
    let floor = FloorSlope::presumed_level(Angle::from_deg(0.1));
    let boards: Vec<Arc<Board>> = ids
        .iter()
        .enumerate()
        .map(|(number, id)| {
            let target = Target::Identity((*id).to_owned());
            let config = BoardConfig::unknown((*id).to_owned(), (*id).to_owned(), target);
            Arc::new(Board::found(number, &config, floor))
        })
        .collect();
    let (publish, shown) = watch::channel(boards.clone());
    let inlets = Inlets::default();
    let stop = CancellationToken::new();
    let clock = DaemonClock::starting_now();
    let given = LevelBoards {
        boards: shown.clone(),
        floor,
        config: SwingConfig::default(),
        clock,
        journal: Journal::off(),
    };
    let (task, level) = LevelTask::new(given, inlets.level.clone());
    tokio::spawn(task.run(stop.clone()));
    let store = SetupStore::beside(&CalibrationStore::at(folder.path()));
    let placer = Placer::new(shown, level, clock, store);
    let (task, naming) = NamingTask::new(placer.clone(), inlets.tap.clone());
    tokio::spawn(task.run(stop.clone()));
    let mut intakes: Vec<Intake> = boards
        .iter()
        .map(|board| Intake::new(board.clone(), inlets.clone(), None))
        .collect();
    for (intake, id) in intakes.iter_mut().zip(ids) {
        intake.shows(&status_of(id, Presence::Live));
    }
    Rig {
        boards,
        intakes,
        placer,
        naming,
        now_us: 0,
        _publish: publish,
        _stop: stop.drop_guard(),
    }
}

impl Rig {
    /// So long passes, with a jolt on some boards after the first 600 ms.
    async fn pass(&mut self, ms: i64, jolted: &[usize]) {
        let begun_us = self.now_us;
        while self.now_us < begun_us + 1000 * ms {
            self.now_us += 10_000;
            let since_ms = (self.now_us - begun_us) / 1000 - 600;
            let jolt = if (0..40).contains(&since_ms) {
                1.2
            } else {
                0.0
            };
            for (number, intake) in self.intakes.iter().enumerate() {
                let jolt = if jolted.contains(&number) { jolt } else { 0.0 };
                // A little noise that is never twice the same.
                let noise =
                    1e-3 * ((self.now_us / 10_000 + 7 * i64::try_from(number).unwrap()) % 5) as f64;
                let reading = Reading {
                    accel_g: Some([jolt, 1.0, noise]),
                    ..Reading::default()
                };
                intake.take(HostTime::from_us(self.now_us), &[reading]);
            }
        }
        // What was heard is worked off by the naming's task.
        for _ in 0..50 {
            tokio::task::yield_now().await;
            tokio::time::sleep(std::time::Duration::from_millis(1)).await;
        }
    }

    async fn tap(&mut self, board: usize) -> NamingSnapshot {
        self.pass(2500, &[board]).await;
        self.naming.watch().borrow().clone()
    }

    fn mounts(&self) -> Vec<Option<Mount>> {
        let boards = self.boards.iter();
        boards.map(|board| board.facts().mount).collect()
    }
}

const HUBS: [Option<Mount>; 4] = [
    Some(Mount::FrontLeft),
    Some(Mount::FrontRight),
    Some(Mount::RearLeft),
    Some(Mount::RearRight),
];

#[tokio::test]
async fn four_taps_name_four_hubs_and_a_door_names_none() {
    let folder = tempfile::tempdir().unwrap();
    let mut rig = rig(&folder, &["a", "b", "c", "d"]);
    let now = rig.naming.wish(NamingWish::Start).await.unwrap();
    assert_eq!(now.at_hand(), Some(Mount::FrontLeft));
    rig.pass(2500, &[0, 1, 2, 3]).await;
    let heard = rig.naming.watch().borrow().heard.clone();
    assert!(
        matches!(heard, Some((1, HeardTap::Alike { .. }))),
        "{heard:?}"
    );
    assert_eq!(rig.mounts(), [None; 4]);

    for board in 0..4 {
        // Nothing is pressed in between.
        let now = rig.tap(board).await;
        assert_eq!(now.named.len(), board + 1, "{now:?}");
        if board == 1 {
            let now = rig.tap(0).await;
            let again = matches!(now.heard, Some((_, HeardTap::Again { board: 0, .. })));
            assert!(again && now.named.len() == 2, "{now:?}");
        }
    }
    assert_eq!(rig.mounts(), HUBS);
    // Every board has its mount: nobody is asked for one on the body.
    assert_eq!(rig.naming.watch().borrow().at_hand(), None);
    assert_eq!(
        rig.naming.wish(NamingWish::Skip).await,
        Err(PlaceError::NotNaming)
    );
}

#[tokio::test]
async fn boards_that_were_carried_to_the_rear_hubs_are_named_there() {
    let folder = tempfile::tempdir().unwrap();
    let mut rig = rig(&folder, &["a", "b"]);
    rig.naming.wish(NamingWish::Start).await.unwrap();
    rig.tap(0).await;
    rig.tap(1).await;
    rig.pass(1000, &[]).await;
    let face = SaidToSit {
        outboard: BoardAxis::ZPlus,
        up: None,
    };
    rig.placer.seat("a", HUBS[0], Some(face)).await.unwrap();
    let square = Some(Sits::Face {
        outboard: BoardAxis::ZPlus,
        up: BoardAxis::YPlus,
    });
    assert_eq!(rig.boards[0].facts().sits, square);

    rig.naming.wish(NamingWish::Start).await.unwrap();
    rig.naming.wish(NamingWish::Skip).await.unwrap();
    assert_eq!(
        rig.mounts(),
        [None, HUBS[1]],
        "no board is there, so it said"
    );
    rig.naming.wish(NamingWish::Skip).await.unwrap();
    rig.tap(0).await;
    rig.tap(1).await;
    assert_eq!(rig.mounts(), [HUBS[2], HUBS[3]]);

    // What was said is in force again after a start, by another daemon.
    let again = rig_again(&folder).await;
    assert_eq!(
        again,
        [("a".to_owned(), HUBS[2]), ("b".to_owned(), HUBS[3])]
    );
}

async fn rig_again(folder: &TempDir) -> Vec<(String, Option<Mount>)> {
    let rig = rig(folder, &["a"]);
    let said = rig.placer.said().await.into_iter();
    said.map(|said| (said.id, said.seat.mount())).collect()
}

#[tokio::test]
async fn what_cannot_be_is_refused_with_its_reason() {
    let folder = tempfile::tempdir().unwrap();
    let mut rig = rig(&folder, &["a", "b"]);
    let outboard = |outboard, up| Some(SaidToSit { outboard, up });
    rig.placer.seat("a", HUBS[0], None).await.unwrap();
    let taken = rig.placer.seat("b", HUBS[0], None).await;
    let occupied = LevelError::Occupied {
        mount: Mount::FrontLeft,
        by: "a".to_owned(),
    };
    assert_eq!(taken, Err(occupied.into()));
    // Not a word was heard of it yet.
    let unheard = rig
        .placer
        .seat("a", HUBS[0], outboard(BoardAxis::ZPlus, None))
        .await;
    assert_eq!(unheard, Err(PlaceError::NotStill("a".to_owned())));
    rig.pass(2000, &[]).await;
    let upended = rig
        .placer
        .seat("a", HUBS[0], outboard(BoardAxis::YMinus, None))
        .await;
    assert_eq!(
        upended,
        Err(PlaceError::Upended("a".to_owned(), BoardAxis::YMinus))
    );
    let line = rig
        .placer
        .seat(
            "a",
            HUBS[0],
            outboard(BoardAxis::YMinus, Some(BoardAxis::YPlus)),
        )
        .await;
    assert_eq!(line, Err(SeatError::OneLine.into()));
    let body = rig
        .placer
        .seat("b", Some(Mount::Body), outboard(BoardAxis::ZPlus, None))
        .await;
    assert_eq!(body, Err(SeatError::NoWheel.into()));
    // What was refused changed nothing.
    let now = rig.placer.seat_of(&rig.boards[0]);
    assert_eq!(now, Seat::on(Mount::FrontLeft));
    assert_eq!(rig.mounts(), [HUBS[0], None]);
    rig.placer.seat("a", None, None).await.unwrap();
    assert_eq!(rig.mounts(), [None, None]);
}

#[tokio::test]
async fn a_name_is_kept_and_nonsense_is_none() {
    let folder = tempfile::tempdir().unwrap();
    let rig = rig(&folder, &["a"]);
    rig.placer.call("a", " the blue one\u{7} ").await.unwrap();
    assert_eq!(rig.boards[0].facts().name, "the blue one");
    for bad in ["", "  ", &"x".repeat(200)] {
        let refused = rig.placer.call("a", bad).await;
        assert!(
            matches!(refused, Err(PlaceError::Name { .. })),
            "{refused:?}"
        );
    }
}

/// Somebody is told that what was said is in force and not kept, and it is kept with the next thing that can be.
#[tokio::test]
async fn what_cannot_be_kept_is_in_force_and_told() {
    let folder = tempfile::tempdir().unwrap();
    let mut rig = rig(&folder, &["a", "b"]);
    // A file in the way of its folder keeps out whoever may do anything, too.
    let in_the_way = folder.path().join("set-up");
    std::fs::write(&in_the_way, "").unwrap();
    let seated = rig.placer.seat("a", HUBS[0], None).await;
    assert!(
        matches!(
            seated,
            Err(PlaceError::NotKept(SetupError::Unwritable { .. }))
        ),
        "{seated:?}"
    );
    let named = rig.placer.call("a", "blue").await;
    assert!(matches!(named, Err(PlaceError::NotKept(_))), "{named:?}");
    assert_eq!(rig.mounts(), [HUBS[0], None]);
    assert_eq!(rig.boards[0].facts().name, "blue");
    assert!(rig.placer.trouble().borrow().is_some());
    // A tap waits for no answer: the board is there, and the state tells.
    rig.naming.wish(NamingWish::Start).await.unwrap();
    let skipped = rig.naming.wish(NamingWish::Skip).await;
    assert!(
        matches!(skipped, Err(PlaceError::NotKept(_))),
        "{skipped:?}"
    );
    let now = rig.tap(1).await;
    assert_eq!(now.named, [(Mount::FrontRight, 1)]);
    assert_eq!(rig.mounts(), [None, HUBS[1]]);

    std::fs::remove_file(&in_the_way).unwrap();
    rig.placer.seat("a", HUBS[2], None).await.unwrap();
    assert!(rig.placer.trouble().borrow().is_none());
    let again = rig_again(&folder).await;
    let expected = [("a".to_owned(), HUBS[2]), ("b".to_owned(), HUBS[1])];
    assert_eq!(again, expected);
}
