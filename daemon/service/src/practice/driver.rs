//! The driver of the simulated car: waits where the swing waits, and steers
//! where it says.

use std::sync::Arc;
use std::time::Duration;

use hubplumb_core::angle::Angle;
use hubplumb_core::side::Side;
use hubplumb_core::swing::{Phase, SteerSource};
use hubplumb_sim::{LiveSim, Scenario, Script, Step, Wheel};
use tokio::sync::watch;
use tokio::time::{sleep, timeout};
use tokio_util::sync::CancellationToken;

use super::PracticeFault;
use crate::http::App;
use crate::http::views::BoardState;
use crate::levelling::LevelWish;
use crate::mount::Mount;
use crate::swing::{Current, SwingSnapshot, WishError};

/// A first look at the resting car before the first swing, s of the simulation.
const FIRST_LOOK_S: f64 = 4.0;
/// A person needs a moment to hear what to do, s of the simulation.
const REACTION_S: f64 = 1.0;
/// After this a step that is not noticed is given up, s of the simulation.
const PATIENCE_S: f64 = 30.0;
/// How long the boards may take to be read, s of real time.
const START_S: f64 = 20.0;
/// Where the wheels are straight ahead again, rad.
const STRAIGHT_RAD: f64 = 1e-6;

/// Where the driver sits.
pub(crate) struct Seat {
    pub(crate) sim: Arc<LiveSim>,
    pub(crate) app: App,
    pub(crate) speed: f64,
    /// Steering steps of a swing, the last one back to straight ahead.
    pub(crate) stops: Vec<Step>,
}

/// The steering steps of a scenario's script; a usual swing where it has none.
pub(crate) fn stops(scenario: &Scenario) -> Vec<Step> {
    let steering = |script: &Script| -> Vec<Step> {
        script
            .steps
            .iter()
            .filter(|step| matches!(step, Step::SteerTo { .. }))
            .cloned()
            .collect()
    };
    let own = steering(scenario.script());
    if own.len() >= 3 {
        own
    } else {
        steering(&Script::swing(20.0, -20.0, 5.0, 2.0))
    }
}

/// What a script does with each jacked corner: from its jacking up to its being let down.
fn run_outs(script: &Script) -> Vec<(Wheel, Vec<Step>)> {
    let mut found = Vec::new();
    let mut begun: Option<(Wheel, usize)> = None;
    for (index, step) in script.steps.iter().enumerate() {
        match (step, begun) {
            (
                Step::Jack {
                    wheel, up: true, ..
                },
                None,
            ) => begun = Some((*wheel, index)),
            (Step::Jack { up: false, .. }, Some((wheel, from))) => {
                found.push((wheel, script.steps[from..=index].to_vec()));
                begun = None;
            }
            _ => {}
        }
    }
    found
}

/// Starts a first swing and drives every swing. Gives the first one back, and
/// ends with it, when there is a `stop_after_first`; else goes on for ever.
pub(crate) async fn drive(
    seat: Seat,
    stop_after_first: Option<CancellationToken>,
) -> Result<SwingSnapshot, PracticeFault> {
    let result = seat.drive(stop_after_first.is_some()).await;
    if let Some(stop) = stop_after_first {
        stop.cancel();
    } else if let Err(error) = &result {
        tracing::error!("{error}: {}", error.remedy());
    }
    result
}

impl Seat {
    async fn drive(&self, once: bool) -> Result<SwingSnapshot, PracticeFault> {
        let mut swing = self.app.swing.watch();
        self.boards_live().await?;
        self.turn_wheels().await?;
        self.act(Step::Brake { locked: true })?;
        self.wait_s(FIRST_LOOK_S).await;
        let source = if self
            .sim
            .boards()
            .iter()
            .any(|board| board.mount.wheel().is_some() && !board.has_gyro)
        {
            SteerSource::Plates
        } else {
            SteerSource::Gyro
        };
        match self.app.swing.start(source).await {
            // Somebody on the page was quicker: their swing is driven.
            Ok(_) | Err(WishError::Running) => {}
            Err(error) => {
                return Err(PracticeFault::NotStarted(error));
            }
        }
        let mut driven = 0;
        loop {
            let begun = swing.wait_for(|swing| swing.run > driven).await;
            let run = begun.map_err(|_| PracticeFault::Ended)?.run;
            self.drive_run(&mut swing, run).await?;
            let over = self
                .until(&mut swing, run, |current| is_over(current.phase))
                .await;
            if once {
                let snapshot = swing.borrow().clone();
                return if over {
                    Ok(snapshot)
                } else {
                    Err(PracticeFault::NoEnd)
                };
            }
            self.straighten().await?;
            driven = run;
        }
    }

    /// One swing, step by step, as long as it goes on.
    pub(super) async fn drive_run(
        &self,
        swing: &mut watch::Receiver<SwingSnapshot>,
        run: u64,
    ) -> Result<(), PracticeFault> {
        self.straighten().await?;
        for step in &self.stops {
            let ready = |current: &Current| {
                matches!(current.phase, Phase::AwaitTurn | Phase::StopTaken)
                    || is_over(current.phase)
            };
            self.until(swing, run, ready).await;
            if !goes_on(swing, run) {
                return Ok(());
            }
            self.enter_plates(swing).await;
            self.wait_s(REACTION_S).await;
            self.act(step.clone())?;
            // The next stop must not be taken for the one that was just left.
            self.until(swing, run, |current| {
                !matches!(current.phase, Phase::AwaitTurn | Phase::StopTaken)
            })
            .await;
        }
        Ok(())
    }

    /// Reads the plates for the rest that was just taken, if the swing wants that.
    async fn enter_plates(&self, swing: &watch::Receiver<SwingSnapshot>) {
        let wanted = swing.borrow().current.as_ref().and_then(|current| {
            let stop = current.rests.last().is_some_and(|rest| !rest.straight);
            (current.steer_source == SteerSource::Plates && stop).then(|| current.rests.len() - 1)
        });
        let Some(rest) = wanted else { return };
        for wheel in self.sim.read_plates() {
            let side = if wheel.mount == Wheel::FrontLeft {
                Side::Left
            } else {
                Side::Right
            };
            if let Err(error) = self
                .app
                .swing
                .enter_plate(rest, side, Angle::from_deg(wheel.plate_read_deg))
                .await
            {
                tracing::warn!(%error, rest, "the plate reading was not taken");
            }
        }
    }

    /// Jacks the corners and turns the wheels as the scenario's script does,
    /// each while its run-out runs.
    pub(super) async fn turn_wheels(&self) -> Result<(), PracticeFault> {
        for (wheel, steps) in run_outs(self.sim.scenario().script()) {
            let Some(mount) = Mount::named(wheel.name()) else {
                continue;
            };
            let started = self.app.level.wish(LevelWish::Start {
                mount,
                jacked: true,
            });
            if let Err(error) = started.await {
                // Somebody on the page was quicker; the wheel is turned all the same.
                tracing::warn!(%error, "the run-out was not started");
            }
            for step in steps {
                if matches!(step, Step::Rest { .. }) {
                    // A hand waits until the stop is taken, however fast the car's time runs.
                    self.stop_taken(mount).await;
                } else {
                    self.act(step)?;
                    while !self.sim.is_idle() {
                        self.wait_s(0.1).await;
                    }
                }
            }
            if self.app.level.watch().borrow().is_running() {
                // What it is worth is told by its refusal, not by hanging here.
                let _ = self.app.level.wish(LevelWish::Finish(mount)).await;
            }
        }
        Ok(())
    }

    /// Waits, within patience, until the rest of a wheel counts.
    pub(super) async fn stop_taken(&self, mount: Mount) {
        let mut level = self.app.level.watch();
        let taken = level.wait_for(|level| {
            let current = level
                .run_outs
                .get(&mount)
                .and_then(|run_out| run_out.current);
            current.is_none_or(|now| {
                !now.is_running() || now.phase == hubplumb_core::levelling::Phase::Taken
            })
        });
        let patience = Duration::from_secs_f64(PATIENCE_S / self.speed);
        if timeout(patience, taken).await.is_err() {
            tracing::warn!(mount = mount.name(), "a stop was not taken");
        }
    }

    pub(super) async fn straighten(&self) -> Result<(), PracticeFault> {
        while !self.sim.is_idle() {
            self.wait_s(0.1).await;
        }
        if self.sim.state().steer.value.abs() > STRAIGHT_RAD {
            self.act(Step::SteerTo {
                to_deg: 0.0,
                over_s: 2.0,
                slip: None,
            })?;
            while !self.sim.is_idle() {
                self.wait_s(0.1).await;
            }
        }
        Ok(())
    }

    pub(super) fn act(&self, step: Step) -> Result<(), PracticeFault> {
        self.sim
            .drive(&Script::new(vec![step]))
            .map(|_| ())
            .map_err(PracticeFault::from)
    }

    pub(super) async fn boards_live(&self) -> Result<(), PracticeFault> {
        let mut state = self.app.state.clone();
        let all_live = state.wait_for(|state| {
            state
                .boards
                .iter()
                .all(|board| board.state == BoardState::Live)
        });
        match timeout(Duration::from_secs_f64(START_S), all_live).await {
            Ok(Ok(_)) => Ok(()),
            _ => Err(PracticeFault::NotRead),
        }
    }

    /// Waits, within patience, for something of a run; false when it did not come.
    pub(super) async fn until(
        &self,
        swing: &mut watch::Receiver<SwingSnapshot>,
        run: u64,
        wanted: impl Fn(&Current) -> bool,
    ) -> bool {
        let came =
            swing.wait_for(|swing| swing.run != run || swing.current.as_ref().is_some_and(&wanted));
        timeout(Duration::from_secs_f64(PATIENCE_S / self.speed), came)
            .await
            .is_ok()
    }

    pub(super) async fn wait_s(&self, seconds: f64) {
        sleep(Duration::from_secs_f64(seconds / self.speed)).await;
    }
}

fn goes_on(swing: &watch::Receiver<SwingSnapshot>, run: u64) -> bool {
    let snapshot = swing.borrow();
    snapshot.run == run
        && snapshot
            .current
            .as_ref()
            .is_some_and(|current| !is_over(current.phase))
}

const fn is_over(phase: Phase) -> bool {
    matches!(phase, Phase::Done | Phase::Refused)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_wheels_are_turned_where_the_script_jacks_them() {
        let check = |name: &str, wheels: &[Wheel]| {
            let scenario = Scenario::shipped(name).unwrap();
            let found = run_outs(scenario.script());
            let turned: Vec<Wheel> = found.iter().map(|(wheel, _)| *wheel).collect();
            assert_eq!(turned, wheels, "{name}");
            for (wheel, steps) in found {
                let spins = steps
                    .iter()
                    .filter(|step| matches!(step, Step::Spin { wheel: of, .. } if *of == wheel));
                assert!(spins.count() >= 3, "{name}: {steps:?}");
            }
        };
        check("garage-good", &[]);
        check("body-roll", &[Wheel::FrontLeft, Wheel::FrontRight]);
        check("oblique-mounts", &[Wheel::FrontLeft, Wheel::FrontRight]);
    }

    #[test]
    fn every_shipped_scenario_is_driven_to_both_sides_and_back() {
        for name in Scenario::shipped_names() {
            let angles: Vec<f64> = stops(&Scenario::shipped(name).unwrap())
                .iter()
                .filter_map(|step| {
                    if let Step::SteerTo { to_deg, .. } = step {
                        Some(*to_deg)
                    } else {
                        None
                    }
                })
                .collect();
            assert!(
                angles.iter().any(|deg| *deg > 7.5) && angles.iter().any(|deg| *deg < -7.5),
                "{name}: {angles:?}"
            );
            assert_eq!(angles.last(), Some(&0.0), "{name}");
        }
    }
}
