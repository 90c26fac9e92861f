//! `hubplumb demo`: a simulated car on real ports, measured like any other.

use std::fs;
use std::io::{self, Write as _};
use std::net::SocketAddr;
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use hubplumb_sim::judge::{Finding, Rule, judge};
use hubplumb_sim::{LiveSim, Scenario};
use tokio_util::sync::CancellationToken;

use super::args::DemoArgs;
use super::run::{can_record, serve};
use super::way_in::WayIn;
use super::{CliError, EXIT_FAILED, stop};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::HttpConfig;
use crate::daemon::{Daemon, DaemonOptions};
use crate::http;
use crate::journal::Journal;
use crate::link::Ways;
use crate::pairing::Commands;
use crate::practice::{PracticeFault, car, driver, hands};
use crate::present;
use crate::reach::is_this_machine_only;
use crate::swing::SwingSnapshot;
use crate::visiting::VisitDesk;

/// Scenario that is shown when none is named.
pub(super) const DEFAULT_SCENARIO: &str = "garage-good";

pub(super) async fn demo(args: DemoArgs) -> Result<ExitCode, CliError> {
    if args.scenario == "list" {
        return list();
    }
    let mut scenario = scenario(&args.scenario)?;
    if let Some(seed) = args.seed {
        scenario = scenario.with_seed(seed);
    }
    if let Some(folder) = &args.record {
        can_record(folder)?;
    }
    let bench = hands::is_bench(&scenario);
    if bench && args.once {
        return Err(failed(
            "there is no swing on the bench".to_owned(),
            "leave --once out and calibrate a board on the page, or choose another scenario",
        ));
    }
    let http = args.reach.over(served(args.listen));
    let listener = http::bind(http.listen).await?;
    let folder = tempfile::Builder::new()
        .prefix("hubplumb-demo-")
        .tempdir()
        .map_err(|error| {
            failed(
                format!("no folder for the ports: {error}"),
                "make room in the temporary folder",
            )
        })?;
    let stops = driver::stops(&scenario);
    let sim =
        Arc::new(LiveSim::start(scenario, folder.path(), args.speed).map_err(PracticeFault::from)?);
    let config = car::config(&sim, http.clone());
    let stop = CancellationToken::new();
    stop::on_signals(&stop)?;
    let store = CalibrationStore::at(
        args.store
            .unwrap_or_else(|| folder.path().join("calibrations")),
    );
    let options = DaemonOptions {
        config,
        ways: Ways::system(),
        scenario: Some(car::scenario_view(&sim)),
        clock: DaemonClock::at_speed(args.speed),
        journal: Journal::off(),
        record: args.record.clone(),
        visits: VisitDesk::beside(&store),
        practice: None,
        store,
    };
    let way_in = WayIn::open(listener, http, options.store.folder())?;
    let daemon = Daemon::start(options, &stop);
    way_in.tell()?;
    writeln!(
        io::stdout(),
        "Scenario {} (seed {}): {}",
        sim.scenario().name(),
        sim.seed(),
        sim.scenario().about()
    )
    .map_err(CliError::Output)?;

    if bench {
        tokio::spawn(stop.clone().run_until_cancelled_owned(hands::follow(
            sim,
            daemon.app(),
            args.speed,
        )));
        serve(way_in, &daemon, stop).await?;
        return Ok(ExitCode::SUCCESS);
    }
    let driving = tokio::spawn(stop.clone().run_until_cancelled_owned(driver::drive(
        driver::Seat {
            sim: sim.clone(),
            app: daemon.app(),
            speed: args.speed,
            stops,
        },
        args.once.then(|| stop.clone()),
    )));
    serve(way_in, &daemon, stop).await?;
    let driven = driving
        .await
        .map_err(|error| failed(error.to_string(), "start the demonstration again"))?;
    if !args.once {
        return Ok(ExitCode::SUCCESS);
    }
    match driven {
        // `--once` was given, and Ctrl-C came before the swing was over.
        None => Err(failed(
            "the swing was not over".to_owned(),
            "let it run to its end",
        )),
        Some(snapshot) => verdict(&sim, &snapshot?),
    }
}

/// How a demonstration is served where nothing else is said.
fn served(listen: SocketAddr) -> HttpConfig {
    HttpConfig {
        listen,
        // Nothing is real here, and nobody else gets to it; elsewhere a device is paired as ever.
        commands: if is_this_machine_only(listen) {
            Commands::Open
        } else {
            Commands::Paired
        },
        ..HttpConfig::default()
    }
}

fn list() -> Result<ExitCode, CliError> {
    let mut out = io::stdout().lock();
    for name in Scenario::shipped_names() {
        let about = Scenario::shipped(name)
            .map(|scenario| scenario.about().to_owned())
            .unwrap_or_default();
        writeln!(out, "{name:<16} {about}").map_err(CliError::Output)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// A scenario by its name, or from a file of one's own.
fn scenario(name: &str) -> Result<Scenario, CliError> {
    if Path::new(name)
        .extension()
        .is_some_and(|extension| extension == "toml")
    {
        let text = fs::read_to_string(name).map_err(|error| {
            failed(format!("{name}: {error}"), "check the path of the scenario")
        })?;
        return Scenario::from_toml(&text).map_err(|error| {
            failed(
                format!("{name}: {error}"),
                "mend the scenario, see docs/SIMULATOR.md",
            )
        });
    }
    Scenario::shipped(name).ok_or_else(|| CliError::NoScenario {
        name: name.to_owned(),
        known: Scenario::shipped_names()
            .into_iter()
            .map(str::to_owned)
            .collect(),
    })
}

fn failed(what: String, remedy: &str) -> CliError {
    CliError::Demo {
        what,
        remedy: remedy.to_owned(),
    }
}

impl From<PracticeFault> for CliError {
    fn from(fault: PracticeFault) -> Self {
        failed(fault.to_string(), &fault.remedy().to_string())
    }
}

/// The table of findings against the truth, and what it comes to.
fn verdict(sim: &LiveSim, snapshot: &SwingSnapshot) -> Result<ExitCode, CliError> {
    let mut out = io::stdout().lock();
    let mut say = |text: &str| writeln!(out, "{text}").map_err(CliError::Output);
    let current = snapshot.current.as_ref();
    let refusals = current
        .into_iter()
        .flat_map(|current| current.refusal.iter().chain(&current.refused_wheels));
    for refusal in refusals {
        let trouble = present::refusal_trouble(refusal);
        say(&format!(
            "refused: {} {} {}",
            trouble.what, trouble.meaning, trouble.remedy
        ))?;
    }
    let findings: Vec<Finding> = snapshot
        .found
        .iter()
        .flat_map(car::judged_findings)
        .collect();
    if findings.is_empty() {
        say("The swing gave no finding.")?;
        return Ok(ExitCode::from(EXIT_FAILED));
    }
    let rule = Rule {
        tolerance_deg: f64::INFINITY,
        within_95: true,
        needed: Vec::new(),
    };
    let verdict = judge(&sim.truth(), &findings, &rule);
    say(verdict.table().trim_end())?;
    if verdict.passes() {
        say("Every finding agrees with the truth within its expanded uncertainty.")?;
        Ok(ExitCode::SUCCESS)
    } else {
        say("A finding is farther from the truth than its expanded uncertainty.")?;
        Ok(ExitCode::from(EXIT_FAILED))
    }
}
