//! The task that puts the latest of everything into one view for the page.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::watch;
use tokio::time::{Instant, MissedTickBehavior, interval};
use tokio_util::sync::CancellationToken;
use uuid::Uuid;

use crate::board::{Arrivals, Boards};
use crate::checking::CheckSnapshot;
use crate::clock::DaemonClock;
use crate::http::views::{BoardView, ScenarioView, SetupView, StateView, WheelView};
use crate::levelling::LevelSnapshot;
use crate::metrics::Latency;
use crate::mount::Mount;
use crate::placing::{Look, NamingSnapshot};
use crate::practice::PracticeState;
use crate::present;
use crate::publishing::Publishing;
use crate::pulse::Pulse;
use crate::setup_store::SetupError;
use crate::swing::{SwingInlet, SwingSnapshot};
use crate::visiting::AtHand;

/// How often everything is looked at: no client is told more often.
const LOOK: Duration = Duration::from_millis(50);

/// Counters that only creep are told with every tenth look.
const LOOKS_PER_COUNT: u64 = 10;

/// Everything that is shown.
#[derive(Debug)]
pub struct Sources {
    /// Boards, in the order they are shown.
    pub boards: Boards,
    /// The swing.
    pub swing: watch::Receiver<SwingSnapshot>,
    /// Floor, toe and run-outs.
    pub level: watch::Receiver<LevelSnapshot>,
    /// The checks.
    pub check: watch::Receiver<CheckSnapshot>,
    /// The naming of mounts.
    pub naming: watch::Receiver<NamingSnapshot>,
    /// What Bluetooth saw.
    pub look: watch::Receiver<Look>,
    /// Why the set-up is not kept.
    pub kept: watch::Receiver<Option<SetupError>>,
    /// Does somebody practise?
    pub practice: watch::Receiver<PracticeState>,
    /// Counts of readings the swing was too late for.
    pub inlet: Arc<SwingInlet>,
    /// Truth of a simulated car.
    pub scenario: Option<ScenarioView>,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// The visit at hand.
    pub visit: watch::Receiver<Option<AtHand>>,
    /// Beats after every look.
    pub pulse: Pulse,
    /// Is told what a look was the first to see.
    pub latency: Latency,
    /// The broker.
    pub publishing: Publishing,
}

impl Sources {
    /// Everything as it is now.
    fn view(&self, run: &str, serial: u64) -> StateView {
        let now = self.clock.now();
        let boards = self.boards.borrow().clone();
        let swing = self.swing.borrow().clone();
        let level = self.level.borrow().clone();
        let check = self.check.borrow().clone();
        let seen: Vec<_> = boards
            .iter()
            .map(|board| (board, board.look(now)))
            .collect();
        let mut wheels: Vec<(Mount, WheelView)> = seen
            .iter()
            .filter_map(|(board, seen)| {
                let mount = board.facts().mount.filter(|mount| mount.side().is_some())?;
                Some((mount, present::wheel_view(mount, &seen.live)))
            })
            .collect();
        wheels.sort_by_key(|(mount, _)| *mount);
        StateView {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            run: run.to_owned(),
            serial,
            now_us: now.us(),
            boards: seen
                .iter()
                .map(|(board, seen)| present::board_view(&board.facts(), seen, &self.inlet))
                .collect(),
            wheels: wheels.into_iter().map(|(_, wheel)| wheel).collect(),
            swing: present::swing_view(&swing),
            findings: swing
                .found
                .iter()
                .flat_map(present::finding_views)
                .collect(),
            differences: present::difference_views(&swing),
            curves: present::curve_views(&swing),
            levelling: present::level_view(&level),
            visit: present::at_hand_view(*self.visit.borrow()),
            check: present::check_view(&check),
            checked: present::check_results(&check),
            setup: SetupView {
                configured: boards.iter().any(|board| board.facts().configured),
                naming: present::naming_view(&self.naming.borrow(), &boards),
                bluetooth: present::bluetooth_view(&self.look.borrow(), &boards),
                trouble: self.kept.borrow().as_ref().map(present::setup_trouble),
                practice: present::practice_view(*self.practice.borrow()),
            },
            publishing: present::publishing_view(&self.publishing.now()),
            scenario: self.scenario.clone(),
        }
    }
}

/// Begins with the first view and goes on until `stop`.
pub fn start(
    sources: Sources,
    stop: CancellationToken,
) -> (watch::Receiver<Arc<StateView>>, impl Future<Output = ()>) {
    let run = Uuid::new_v4().to_string();
    let (publish, state) = watch::channel(Arc::new(sources.view(&run, 0)));
    let keep = async move {
        stop.run_until_cancelled(keep_current(sources, publish))
            .await;
    };
    (state, keep)
}

async fn keep_current(sources: Sources, publish: watch::Sender<Arc<StateView>>) {
    let mut looks = interval(LOOK);
    looks.set_missed_tick_behavior(MissedTickBehavior::Skip);
    let mut arrivals: Vec<Arrivals> = Vec::new();
    for look in 0_u64.. {
        looks.tick().await;
        // Before anything is looked at: what comes meanwhile counts as seen by the next look, so
        // that no reading is said to be shown sooner than it was.
        arrivals.clear();
        let boards = sources.boards.borrow().clone();
        arrivals.extend(boards.iter().map(|board| board.take_arrivals()));
        let before = publish.borrow().clone();
        let mut now = sources.view(&before.run, before.serial + 1);
        if look % LOOKS_PER_COUNT != 0 && creeps(&before.boards, &now.boards) {
            now.boards.clone_from(&before.boards);
        }
        if differs(&before, &now) {
            publish.send_replace(Arc::new(now));
        }
        let published = Instant::now();
        for arrivals in &arrivals {
            sources.latency.shown(arrivals, published);
        }
        sources.pulse.beat();
    }
}

fn creeps(before: &[BoardView], now: &[BoardView]) -> bool {
    before.len() == now.len()
        && before
            .iter()
            .zip(now)
            .all(|(before, now)| present::counters_only(before, now))
}

/// Time and number alone are no change.
fn differs(before: &StateView, now: &StateView) -> bool {
    before.boards != now.boards
        || before.wheels != now.wheels
        || before.swing != now.swing
        || before.findings != now.findings
        || before.curves != now.curves
        || before.levelling != now.levelling
        || before.visit != now.visit
        || before.check != now.check
        || before.checked != now.checked
        || before.setup != now.setup
        || before.publishing != now.publishing
}
