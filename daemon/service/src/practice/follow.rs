//! The simulated car follows what the page asks: swings, run-outs, checks, calibrations and
//! the moves of adjusters that somebody writes into the visit.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use hubplumb_core::check::{Hint, Kind};
use hubplumb_core::side::Side;
use hubplumb_sim::motion::Rocked;
use hubplumb_sim::{LiveSim, Script, Step, Wheel};
use tokio::time::sleep;

use super::PracticeFault;
use super::driver::{Seat, stops};
use super::hands::Hands;
use crate::car::Corner;
use crate::checking::CheckNow;
use crate::http::App;
use crate::levelling::RunOutNow;
use crate::mount::Mount;
use crate::visit::{AfterMove, Entry, Move};

/// How often the page's state is looked at, s.
const LOOK_S: f64 = 0.05;
/// A person needs a moment to hear what to do, s.
const REACTION_S: f64 = 1.2;
/// Hands turn a wheel by a quarter, or an adjuster, in this time, s.
const HANDS_S: f64 = 2.0;
/// A quarter turn of a wheel, degrees.
const QUARTER_DEG: f64 = 90.0;
/// Quarters after which a wheel has gone round, and one more.
const QUARTERS: usize = 5;
/// Stops for toe-out on turns, degrees of steer.
const TURNED_DEG: f64 = 20.0;
/// From stop to stop, s.
const STEER_S: f64 = 4.0;
/// The wheels stand where they are to stand, degrees.
const THERE_DEG: f64 = 0.2;

/// Whoever does what the page asks.
pub(super) struct Follower {
    seat: Seat,
    hands: Hands,
    swings: u64,
    checks: u64,
    run_outs: BTreeMap<Mount, u64>,
    /// Entries of the visit at hand that were looked at.
    seen: (i64, u32),
}

impl Follower {
    pub(super) fn new(sim: Arc<LiveSim>, app: App) -> Self {
        let stops = stops(sim.scenario());
        Self {
            hands: Hands {
                sim: sim.clone(),
                app: app.clone(),
                speed: 1.0,
                laid: None,
            },
            seat: Seat {
                sim,
                app,
                speed: 1.0,
                stops,
            },
            swings: 0,
            checks: 0,
            run_outs: BTreeMap::new(),
            seen: (0, 0),
        }
    }

    /// Follows for ever. What cannot be done is told to the log, and the next is done.
    pub(super) async fn run(mut self) {
        loop {
            sleep(Duration::from_secs_f64(LOOK_S)).await;
            if let Err(error) = self.look().await {
                tracing::warn!(%error, "the simulated car does not follow");
            }
        }
    }

    async fn look(&mut self) -> Result<(), PracticeFault> {
        self.hands.look().await?;
        self.swing().await?;
        self.run_out().await?;
        self.check().await?;
        self.moves().await
    }

    async fn swing(&mut self) -> Result<(), PracticeFault> {
        let mut swing = self.seat.app.swing.watch();
        let run = swing.borrow().run;
        if run == self.swings || !swing.borrow().is_running() {
            return Ok(());
        }
        self.swings = run;
        self.seat.drive_run(&mut swing, run).await?;
        self.seat.straighten().await
    }

    /// A wheel whose run-out was started: jacked and turned, or rolled on the floor.
    async fn run_out(&mut self) -> Result<(), PracticeFault> {
        let level = self.seat.app.level.watch().borrow().clone();
        let started = level.run_outs.iter().find_map(|(mount, run_out)| {
            let now = run_out.current.filter(RunOutNow::is_running)?;
            let new = self.run_outs.get(mount) != Some(&run_out.run);
            new.then_some((*mount, run_out.run, now.jacked))
        });
        let Some((mount, run, jacked)) = started else {
            return Ok(());
        };
        self.run_outs.insert(mount, run);
        let Some(wheel) = wheel_of(mount) else {
            return Ok(());
        };
        self.act(Step::Brake { locked: false }).await?;
        if jacked {
            self.act(jack(wheel, true)).await?;
        }
        for _ in 0..QUARTERS {
            self.seat.stop_taken(mount).await;
            if !self.turns(mount) {
                break;
            }
            self.wait_s(REACTION_S).await;
            self.act(if jacked {
                Step::Spin {
                    wheel,
                    by_deg: QUARTER_DEG,
                    over_s: HANDS_S,
                }
            } else {
                Step::RollForward {
                    distance_m: self.quarter_m(wheel),
                    over_s: HANDS_S,
                }
            })
            .await?;
        }
        if jacked {
            self.act(jack(wheel, false)).await?;
        }
        self.act(Step::Brake { locked: true }).await
    }

    fn turns(&self, mount: Mount) -> bool {
        let level = self.seat.app.level.watch();
        let level = level.borrow();
        let current = level.run_outs.get(&mount).and_then(|r| r.current);
        current.is_some_and(|now| now.is_running())
    }

    fn quarter_m(&self, wheel: Wheel) -> f64 {
        let (car, _) = self.seat.sim.car();
        car.corners[wheel.index()].radius_m * QUARTER_DEG.to_radians()
    }

    async fn check(&mut self) -> Result<(), PracticeFault> {
        let check = self.seat.app.check.watch().borrow().clone();
        let Some(now) = check.current.filter(CheckNow::is_running) else {
            return Ok(());
        };
        if check.run == self.checks {
            return Ok(());
        }
        self.checks = check.run;
        let wheel = now.mount.and_then(wheel_of);
        match (now.kind, wheel) {
            (Kind::Play, Some(wheel)) => self.rock(wheel).await,
            (Kind::Centring | Kind::TurnOut, _) => self.steer(check.run).await,
            // The board rests on its hub as it is; a bar or a ride height is left to the person,
            // who has neither here: the check is given up on the page.
            _ => Ok(()),
        }
    }

    async fn rock(&self, wheel: Wheel) -> Result<(), PracticeFault> {
        // At once, so that the corner is up before the check has taken its first rest.
        self.act(jack(wheel, true)).await?;
        self.wait_s(3.0 * REACTION_S).await;
        // Both ways: how the person holds it is theirs to say, and only one is listened to.
        for about in [Rocked::TopBottom, Rocked::FrontRear] {
            self.act(Step::Rock {
                wheel,
                about,
                cycles: 5,
                hold_s: 0.5,
                over_s: 0.6,
            })
            .await?;
        }
        // Let down in the middle of it, the car would have moved.
        for _ in 0..100 {
            let goes_on = self.seat.app.check.watch().borrow().is_running();
            if !goes_on {
                break;
            }
            self.wait_s(0.2).await;
        }
        self.act(jack(wheel, false)).await
    }

    /// Steers as a check asks, stop by stop, as long as it goes on.
    async fn steer(&self, run: u64) -> Result<(), PracticeFault> {
        loop {
            let check = self.seat.app.check.watch().borrow().clone();
            let asked = check.current.filter(CheckNow::is_running);
            let Some(now) = asked.filter(|_| check.run == run) else {
                return self.seat.straighten().await;
            };
            if let Some(to_deg) = self.steered_to(now.progress.hint) {
                let stands_deg = self.seat.sim.state().steer.value.to_degrees();
                if (to_deg - stands_deg).abs() > THERE_DEG {
                    self.wait_s(REACTION_S).await;
                    self.act(Step::SteerTo {
                        to_deg,
                        over_s: STEER_S,
                        slip: None,
                    })
                    .await?;
                }
            }
            self.wait_s(LOOK_S).await;
        }
    }

    /// Where the front wheels are to stand, degrees, + left; none while they are to rest.
    fn steered_to(&self, hint: Hint) -> Option<f64> {
        let (car, _) = self.seat.sim.car();
        let [left, right] = car
            .workshop
            .gear
            .locks_rad
            .unwrap_or([TURNED_DEG.to_radians(); 2]);
        match hint {
            Hint::SteerToLock(Side::Left) => Some(left.to_degrees()),
            Hint::SteerToLock(Side::Right) => Some(-right.to_degrees()),
            Hint::SteerToStop(Side::Left) => Some(TURNED_DEG),
            Hint::SteerToStop(Side::Right) => Some(-TURNED_DEG),
            Hint::PointStraight | Hint::SteerBack | Hint::SteerOnOrBack => Some(0.0),
            _ => None,
        }
    }

    /// Adjusters that somebody says to have moved, since the last look.
    async fn moves(&mut self) -> Result<(), PracticeFault> {
        let visits = &self.seat.app.visits;
        let Some(at_hand) = *visits.at_hand().borrow() else {
            return Ok(());
        };
        let from = if self.seen.0 == at_hand.id {
            self.seen.1
        } else {
            0
        };
        if from == at_hand.entries {
            return Ok(());
        }
        let id = at_hand.id;
        let entries = visits.run(move |store| store.entries(id)).await?;
        self.seen = (id, at_hand.entries);
        let new = entries.into_iter().filter(|entry| entry.number > from);
        for entry in new {
            if let Entry::Moved(moved) = &entry.what {
                self.adjust(moved).await?;
            }
        }
        Ok(())
    }

    async fn adjust(&self, moved: &Move) -> Result<(), PracticeFault> {
        let wheel = wheel_at(moved.corner);
        for (adjuster, by) in adjusters(moved) {
            self.act(Step::Adjust {
                wheel,
                adjuster: adjuster.to_owned(),
                by,
                clock_deg: None,
                over_s: HANDS_S,
            })
            .await?;
        }
        if moved.seen_to.contains(&AfterMove::Settled) {
            self.act(Step::Bounce { over_s: HANDS_S }).await?;
        }
        Ok(())
    }

    async fn act(&self, step: Step) -> Result<(), PracticeFault> {
        self.seat.sim.drive(&Script::new(vec![step]))?;
        while !self.seat.sim.is_idle() {
            self.wait_s(0.1).await;
        }
        Ok(())
    }

    async fn wait_s(&self, seconds: f64) {
        sleep(Duration::from_secs_f64(seconds)).await;
    }
}

/// What the simulator calls the adjuster, or its two bolts, and by how much each moves.
pub(super) fn adjusters(moved: &Move) -> Vec<(&str, f64)> {
    match (moved.adjuster.as_str(), moved.amount.as_slice()) {
        ("upper_arm_shims", [front_mm, rear_mm]) => {
            vec![("front_shim", *front_mm), ("rear_shim", *rear_mm)]
        }
        (name, [by]) => vec![(name, *by)],
        _ => Vec::new(),
    }
}

const fn jack(wheel: Wheel, up: bool) -> Step {
    Step::Jack {
        wheel,
        up,
        over_s: HANDS_S,
    }
}

const fn wheel_at(corner: Corner) -> Wheel {
    match corner {
        Corner::FrontLeft => Wheel::FrontLeft,
        Corner::FrontRight => Wheel::FrontRight,
        Corner::RearLeft => Wheel::RearLeft,
        Corner::RearRight => Wheel::RearRight,
    }
}

fn wheel_of(mount: Mount) -> Option<Wheel> {
    Wheel::ALL
        .into_iter()
        .find(|wheel| wheel.name() == mount.name())
}
