//! One life of the daemon after another.

use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Dir, Vec3};
use hubplumb_core::joint::evidence::RunOutEvidence;
use hubplumb_core::levelling::survey::PadHeights;
use hubplumb_core::levelling::{OutboardBy, RunOutResult, SpinAxis};
use hubplumb_core::time::HostTime;
use tokio::sync::watch;

use super::*;
use crate::board::{Board, Inlets, Seat, Sits};
use crate::clock::DaemonClock;
use crate::config::{BoardConfig, SwingConfig};
use crate::journal::{Journal, LevelNote};
use crate::levelling::{FloorBy, LevelBoards, LevelSnapshot, LevelWish};
use crate::link::Target;

const NOW: HostTime = HostTime::from_us(5_000_000);

/// A daemon that was just started, with these boards in a fresh life.
struct Life {
    task: LevelTask,
    _publish: watch::Sender<Vec<Arc<Board>>>,
}

impl Life {
    fn with(boards: &[&str]) -> Self {
        let floor = FloorSlope::presumed_level(Angle::from_deg(0.1));
        let boards: Vec<_> = (0..)
            .zip(boards)
            .map(|(number, id)| {
                let target = Target::Identity((*id).to_owned());
                let config = BoardConfig::unknown((*id).to_owned(), (*id).to_owned(), target);
                Arc::new(Board::found(number, &config, floor))
            })
            .collect();
        let (publish, boards) = watch::channel(boards);
        let given = LevelBoards {
            boards,
            floor,
            config: SwingConfig::default(),
            clock: DaemonClock::starting_now(),
            journal: Journal::off(),
        };
        let (task, _) = LevelTask::new(given, Inlets::default().level);
        Self {
            task,
            _publish: publish,
        }
    }

    #[track_caller]
    fn wish(&mut self, wish: LevelWish) -> LevelSnapshot {
        self.task.wished_at(wish, NOW).expect("granted")
    }

    fn strap(&mut self, board: &str, mount: Mount) {
        let sits = (mount != Mount::Body).then(|| Sits::of(BoardAxis::ZPlus, None));
        let seat = Seat::new(Some(mount), sits).expect("a seat");
        let board = board.to_owned();
        self.wish(LevelWish::Seat { board, seat });
    }

    /// A run-out of that wheel went through.
    fn turn(&mut self, mount: Mount, lean: f64) -> RunOutResult {
        let rest = |x: f64| RunOutEvidence {
            accel_g: Vec3::new(x, 0.01, (1.0 - x * x).sqrt()),
            noise_g: 1e-4,
            // Of readings while the wheel spins there is no end to count.
            degrees_of_freedom: if x < 0.0 { f64::INFINITY } else { 17.5 },
            still: true,
        };
        let result = RunOutResult {
            side: mount.side().expect("a wheel"),
            axis: SpinAxis {
                outboard: Dir::along(Vec3::new(lean, 0.02, 1.0)).expect("a direction"),
                covariance_rad2: [[1e-8, 2e-9, 0.0], [2e-9, 3e-8, 0.0], [0.0; 3]],
            },
            outboard_by: OutboardBy::AwayFromCar,
            arc: Angle::from_deg(270.0),
            stops: 4,
            spins: 1,
            wobble_watched: true,
            off_cone: Angle::from_deg(0.012),
            lean_there: Angle::from_deg(-0.8),
            jacked: true,
            off_declared: Some(Angle::from_deg(0.4)),
            evidence: vec![vec![rest(0.1), rest(-0.3)], vec![rest(0.7)]],
            body: Some(rest(0.02)),
            at: HostTime::from_us(1_234_567),
        };
        let run_out = self
            .task
            .now
            .run_outs
            .get_mut(&mount)
            .expect("a board there");
        run_out.result = Some(Arc::new(result.clone()));
        result
    }

    fn standing(&self, body: Option<&str>) -> Standing {
        Standing::of(&self.task.now, body.map(str::to_owned))
    }

    /// What is written down, read in another life; through the journal as well.
    fn told(&mut self, standing: &Standing) -> LevelSnapshot {
        let text = serde_json::to_string(standing).expect("a document");
        let earlier = Earlier {
            at: "2026-03-01T10:00:00Z".to_owned(),
            standing: serde_json::from_str(&text).expect("the same"),
        };
        let wish = LevelWish::Earlier(earlier);
        assert_eq!(LevelNote::from(&wish).wish(), Some(wish.clone()));
        self.wish(wish)
    }
}

const LEFT: Mount = Mount::FrontLeft;
const RIGHT: Mount = Mount::FrontRight;

fn pads() -> LevelWish {
    LevelWish::Heights(PadHeights {
        heights_mm: [0.0, 4.0, 1.0, 6.0],
        standard_mm: [0.5; 4],
        track_front_mm: 1500.0,
        track_rear_mm: 1480.0,
        wheelbase_mm: 2600.0,
    })
}

/// A life in which everything was found, and what is kept of it.
fn found() -> (Life, [RunOutResult; 2], Standing) {
    let mut life = Life::with(&["a", "b", "on body"]);
    life.strap("a", LEFT);
    life.strap("b", RIGHT);
    life.strap("on body", Mount::Body);
    let results = [life.turn(LEFT, 0.03), life.turn(RIGHT, -0.05)];
    life.wish(pads());
    life.wish(LevelWish::Forward(Some((
        BoardAxis::XPlus,
        Angle::from_deg(0.7),
    ))));
    let standing = life.standing(Some("on body"));
    (life, results, standing)
}

#[test]
fn what_was_found_is_offered_and_in_force_once_somebody_says_so() {
    let (before, results, standing) = found();
    let mut life = Life::with(&["a", "b", "on body"]);
    let fresh = life.task.now.clone();
    let offered = life.told(&standing);
    assert_eq!(offered.floor, fresh.floor, "nothing is in force by itself");
    // Boards are put back where they were after the offer came.
    life.strap("a", LEFT);
    life.strap("b", RIGHT);
    life.strap("on body", Mount::Body);
    assert_eq!(
        life.standing(Some("on body")),
        standing,
        "and kept meanwhile"
    );
    let after = life.wish(LevelWish::GoOn);
    assert_eq!(after.floor, before.task.now.floor);
    assert_eq!(after.forward, before.task.now.forward);
    for (mount, result) in [LEFT, RIGHT].iter().zip(&results) {
        let now = after.result(*mount).expect("it is known");
        let off = now.axis.outboard.angle_to(&result.axis.outboard);
        assert!(off.rad() < 1e-12);
        // A direction is made one again, which rounds.
        let axis = result.axis;
        assert_eq!(
            &RunOutResult {
                axis,
                ..now.clone()
            },
            result
        );
        assert_eq!(now.axis.covariance_rad2, axis.covariance_rad2);
    }
    assert_eq!(after.earlier, None);
    assert_eq!(
        life.task.wished_at(LevelWish::GoOn, NOW),
        Err(LevelError::NothingEarlier)
    );
}

#[test]
fn what_was_left_is_gone() {
    let (_, _, standing) = found();
    let mut life = Life::with(&["a"]);
    life.told(&standing);
    assert_eq!(life.wish(LevelWish::LeaveEarlier).earlier, None);
    assert!(life.standing(None).is_empty());
    assert_eq!(
        life.task.wished_at(LevelWish::LeaveEarlier, NOW),
        Err(LevelError::NothingEarlier)
    );
}

#[test]
fn another_board_takes_nothing_over_and_one_that_comes_later_does() {
    let (_, results, standing) = found();
    let mut life = Life::with(&["a", "b", "c"]);
    life.told(&standing);
    life.strap("c", LEFT);
    let after = life.wish(LevelWish::GoOn);
    assert_eq!(after.result(LEFT), None);
    let left: Vec<_> = after
        .earlier
        .expect("offered on")
        .standing
        .mounts()
        .collect();
    assert_eq!(left, [LEFT, RIGHT]);
    life.strap("b", RIGHT);
    let after = life.wish(LevelWish::GoOn);
    let right = after.result(RIGHT).expect("known");
    // Another body board, or none: what it saw is not of this one.
    assert_eq!(right.body, None);
    assert_eq!(right.evidence, results[1].evidence);
    assert_eq!(after.forward, None);
}

#[test]
fn what_is_found_anew_stays() {
    let (_, _, standing) = found();
    let mut life = Life::with(&["a"]);
    life.told(&standing);
    life.strap("a", LEFT);
    let anew = life.turn(LEFT, 0.2);
    let heights = LevelWish::Heights(PadHeights {
        heights_mm: [0.0, 1.0, 0.0, 1.0],
        standard_mm: [0.5; 4],
        track_front_mm: 1500.0,
        track_rear_mm: 1480.0,
        wheelbase_mm: 2600.0,
    });
    let floor = life.wish(heights).floor;
    let after = life.wish(LevelWish::GoOn);
    assert_eq!(after.floor, floor);
    assert_eq!(after.result(LEFT), Some(&anew));
    // What is written down next has the new beside what is still offered.
    let kept = life.standing(None);
    assert_eq!(kept.mounts().collect::<Vec<_>>(), [LEFT, RIGHT]);
}

#[test]
fn a_board_that_is_moved_or_turned_anew_takes_the_offer_with_it() {
    for forget in [true, false] {
        let (_, _, standing) = found();
        let mut life = Life::with(&["a"]);
        life.told(&standing);
        life.strap("a", LEFT);
        if forget {
            life.wish(LevelWish::Forget(LEFT));
        } else {
            life.strap("a", Mount::RearLeft);
            life.strap("a", LEFT);
        }
        let after = life.wish(LevelWish::GoOn);
        assert_eq!(after.result(LEFT), None, "forgotten: {forget}");
        assert_eq!(after.floor.by, FloorBy::Heights);
    }
}

#[test]
fn times_go_by_the_clock_of_the_new_life() {
    let (_, _, standing) = found();
    let mut life = Life::with(&["a"]);
    life.told(&standing.clone().later_by(-9_000_000));
    life.strap("a", LEFT);
    let after = life.wish(LevelWish::GoOn);
    let at = after.result(LEFT).expect("known").at;
    assert_eq!(at, HostTime::from_us(1_234_567 - 9_000_000));
}

#[test]
fn one_line_of_a_survey_is_worth_keeping() {
    use hubplumb_core::levelling::survey::Line;
    let mut life = Life::with(&[]);
    assert!(life.standing(None).is_empty());
    let slope = Estimate::from_deg(0.12, 0.01);
    life.task.now.floor.lines.insert(Line::Front, slope);
    let standing = life.standing(None);
    let mut next = Life::with(&[]);
    next.told(&standing);
    let floor = next.wish(LevelWish::GoOn).floor;
    assert_eq!(floor.lines[&Line::Front], slope);
    assert_eq!(
        (floor.by, floor.slope),
        (FloorBy::Configuration, life.task.now.floor.slope)
    );
}
