//! The simulator on the command line; see `docs/SIMULATOR.md`.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;
use std::{env, fs};

use clap::{Args, Parser, Subcommand};
use hubplumb_sim::judge::{Finding, Needed, Rule, judge};
use hubplumb_sim::{
    FaultDraw, FaultPlan, LiveSim, Scenario, ScenarioError, Script, SimError, Truth,
    render_case_csv,
};
use thiserror::Error;

/// A car with sensor boards on its hubs, on real serial ports, with the truth beside it.
#[derive(Debug, Parser)]
#[command(name = "hubplumb-sim", version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run a scenario on real serial ports until interrupted.
    Run(RunArgs),
    /// List the scenarios that come with the simulator.
    List,
    /// Print the file of a scenario that comes with the simulator.
    Show {
        /// Its name.
        name: String,
    },
    /// Write what every board says to files, without ports and without waiting.
    Render {
        #[command(flatten)]
        source: Source,
        /// Folder for `<mount>.csv` and `truth.json`.
        #[arg(long)]
        out: PathBuf,
    },
    /// Compare findings with the truth: exit status 0 inside tolerance, 1 outside, 2 unreadable.
    Judge(JudgeArgs),
}

#[derive(Debug, Clone, Args)]
struct Source {
    /// Name of a scenario that comes with the simulator.
    #[arg(required_unless_present = "file", conflicts_with = "file")]
    scenario: Option<String>,
    /// A scenario file of your own.
    #[arg(long)]
    file: Option<PathBuf>,
    /// Seed in place of the scenario's.
    #[arg(long)]
    seed: Option<u64>,
}

#[derive(Debug, Args)]
struct RunArgs {
    #[command(flatten)]
    source: Source,
    /// Folder for the ports, one link per board [default: a folder in the system's temporary one].
    #[arg(long)]
    dir: Option<PathBuf>,
    /// Seconds of the simulation per second.
    #[arg(long, default_value_t = 1.0)]
    speed: f64,
    /// File for the truth, as JSON.
    #[arg(long)]
    truth_out: Option<PathBuf>,
    /// Begin the script only when every port has been opened.
    #[arg(long)]
    await_readers: bool,
    /// Rest so many seconds of the simulation before the script begins.
    #[arg(long, default_value_t = 0.0)]
    lead_s: f64,
    /// Do the script again and again.
    #[arg(long = "loop")]
    again: bool,
    /// Let things go wrong by chance: faults drawn from this seed, beside those of the scenario.
    #[arg(long)]
    faults: Option<u64>,
    /// Mean time between faults that are drawn, s of the simulation.
    #[arg(long, default_value_t = 10.0, requires = "faults")]
    fault_every_s: f64,
    /// No fault that is drawn begins after, s of the simulation.
    #[arg(long, default_value_t = 3600.0, requires = "faults")]
    fault_until_s: f64,
    /// End when the script has ended, instead of resting until interrupted.
    #[arg(long, conflicts_with = "again")]
    exit_when_done: bool,
}

#[derive(Debug, Args)]
struct JudgeArgs {
    /// The truth, as `run --truth-out` or `render` wrote it.
    #[arg(long)]
    truth: PathBuf,
    /// The findings: a JSON array of objects with mount, angle, `value_deg`, `expanded_deg`.
    #[arg(long)]
    findings: PathBuf,
    /// Largest error that passes, degrees.
    #[arg(long)]
    tolerance_deg: f64,
    /// The truth must also lie within each finding's own 95 % interval.
    #[arg(long)]
    within_95: bool,
    /// An angle that must be among the findings, e.g. `front_left:caster`; may be repeated.
    #[arg(long = "need")]
    needed: Vec<Needed>,
}

#[derive(Debug, Error)]
enum CliError {
    #[error(
        "there is no scenario `{name}`; `hubplumb-sim list` names those that come with the simulator"
    )]
    NoScenario { name: String },
    #[error("{}: {source}", path.display())]
    File { path: PathBuf, source: io::Error },
    #[error("{}: {source}", path.display())]
    Scenario {
        path: PathBuf,
        source: ScenarioError,
    },
    #[error("{}: {source}", path.display())]
    Json {
        path: PathBuf,
        source: serde_json::Error,
    },
    #[error("{tolerance_deg} is no tolerance; give degrees from 0 up")]
    Tolerance { tolerance_deg: f64 },
    #[error("{every_s} s is no time between faults; give seconds above 0")]
    FaultEvery { every_s: f64 },
    #[error("signals cannot be caught: {0}")]
    Signals(#[from] ctrlc::Error),
    #[error("cannot write to the terminal: {0}")]
    Output(#[from] io::Error),
    #[error(transparent)]
    Sim(#[from] SimError),
}

/// Exit status of anything that is neither a pass nor a failed judgement.
const UNUSABLE: u8 = 2;

fn main() -> ExitCode {
    let done = match Cli::parse().command {
        Command::Run(args) => run(args),
        Command::List => list(),
        Command::Show { name } => show(&name),
        Command::Render { source, out } => render(source, &out),
        Command::Judge(args) => judged(args),
    };
    done.unwrap_or_else(|error| {
        eprintln!("hubplumb-sim: {error}");
        ExitCode::from(UNUSABLE)
    })
}

fn scenario(source: Source) -> Result<Scenario, CliError> {
    let found = match (source.scenario, source.file) {
        (_, Some(path)) => Scenario::from_toml(&read(&path)?)
            .map_err(|source| CliError::Scenario { path, source })?,
        (Some(name), None) => Scenario::shipped(&name).ok_or(CliError::NoScenario { name })?,
        // The arguments' own rules leave no such case.
        (None, None) => {
            return Err(CliError::NoScenario {
                name: String::new(),
            });
        }
    };
    Ok(match source.seed {
        Some(seed) => found.with_seed(seed),
        None => found,
    })
}

/// The scenario with what is drawn beside it.
fn faulty(scenario: Scenario, args: &RunArgs) -> Result<Scenario, CliError> {
    let Some(seed) = args.faults else {
        return Ok(scenario);
    };
    let every_s = args.fault_every_s;
    if !(every_s.is_finite() && every_s > 0.0) {
        return Err(CliError::FaultEvery { every_s });
    }
    let mounts = scenario.boards().iter().map(|board| board.mount).collect();
    let draw = FaultDraw {
        every_s,
        ..FaultDraw::of_all(mounts, args.fault_until_s)
    };
    writeln!(io::stdout(), "faults drawn from seed {seed}")?;
    Ok(scenario.with_faults(FaultPlan::drawn(seed, &draw)))
}

fn run(args: RunArgs) -> Result<ExitCode, CliError> {
    let scenario = scenario(args.source.clone())?;
    let scenario = faulty(scenario, &args)?;
    let folder = args
        .dir
        .unwrap_or_else(|| env::temp_dir().join(format!("hubplumb-sim-{}", std::process::id())));
    let truth = scenario.truth();
    if let Some(path) = &args.truth_out {
        let text = serde_json::to_string_pretty(&truth).map_err(|source| CliError::Json {
            path: path.clone(),
            source,
        })?;
        fs::write(path, text + "\n").map_err(|source| CliError::File {
            path: path.clone(),
            source,
        })?;
    }
    let (interrupted, interrupts) = channel();
    // Nobody listens any more once the run has ended; then the signal has done its work.
    ctrlc::set_handler(move || {
        let _ = interrupted.send(());
    })?;

    let script = scenario.script().clone();
    let at_once = !args.await_readers && args.lead_s == 0.0;
    let sim = if at_once {
        LiveSim::start_scripted(scenario, &folder, args.speed)?
    } else {
        LiveSim::start(scenario, &folder, args.speed)?
    };
    announce(&sim, &truth)?;
    while args.await_readers && !sim.is_heard() {
        if stopped(&interrupts) {
            return Ok(ExitCode::SUCCESS);
        }
    }
    if !at_once {
        begin(&sim, &script, args.lead_s)?;
    }
    let mut ended = false;
    while !stopped(&interrupts) {
        if !sim.is_idle() || ended {
            continue;
        }
        if args.again {
            sim.drive(&script)?;
        } else {
            ended = true;
            writeln!(io::stdout(), "script ended at {:.1} s", sim.now_s())?;
            if args.exit_when_done {
                break;
            }
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Drives the script after a rest and says when it begins.
fn begin(sim: &LiveSim, script: &Script, lead_s: f64) -> Result<(), CliError> {
    let begins_s = if lead_s == 0.0 {
        sim.now_s()
    } else {
        sim.drive(&Script::rest(lead_s))?
    };
    sim.drive(script)?;
    let mut out = io::stdout().lock();
    writeln!(out, "script begins at {begins_s:.3} s")?;
    out.flush()?;
    Ok(())
}

/// Waits a little; true when the user wants to stop.
fn stopped(interrupts: &Receiver<()>) -> bool {
    !matches!(
        interrupts.recv_timeout(Duration::from_millis(20)),
        Err(RecvTimeoutError::Timeout)
    )
}

fn announce(sim: &LiveSim, truth: &Truth) -> Result<(), CliError> {
    let mut out = io::stdout().lock();
    writeln!(out, "scenario {}  car {}", truth.scenario, truth.car)?;
    writeln!(out, "seed {}", truth.seed)?;
    for board in sim.boards() {
        writeln!(
            out,
            "board {:<12} {}  {} at {} Hz",
            board.mount.name(),
            board.port,
            board.wire_format.name(),
            board.rate_hz
        )?;
    }
    for wheel in &truth.wheels {
        let axis = match (wheel.caster_deg, wheel.sai_deg, wheel.included_deg) {
            (Some(caster), Some(sai), Some(included)) => {
                format!("  caster {caster:+.3}  SAI {sai:+.3}  included {included:+.3}")
            }
            _ => String::new(),
        };
        writeln!(
            out,
            "truth {:<12} camber {:+.3}  toe {:+.3}{axis}",
            wheel.mount.name(),
            wheel.camber_deg,
            wheel.toe_deg
        )?;
    }
    for fault in sim.scenario().faults().faults() {
        writeln!(out, "fault {fault}")?;
    }
    let stance = &truth.stance;
    writeln!(
        out,
        "truth car          total toe front {:+.3}  rear {:+.3}  thrust {:+.3}  setback {:+.3}  steering wheel {:+.1}",
        stance.front_total_toe_deg,
        stance.rear_total_toe_deg,
        stance.thrust_deg,
        stance.front_setback_deg,
        stance.steering_wheel_deg
    )?;
    out.flush()?;
    Ok(())
}

fn list() -> Result<ExitCode, CliError> {
    let mut out = io::stdout().lock();
    for name in Scenario::shipped_names() {
        if let Some(scenario) = Scenario::shipped(name) {
            writeln!(out, "{name:<16} {}", scenario.about())?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn show(name: &str) -> Result<ExitCode, CliError> {
    let text = Scenario::shipped_toml(name).ok_or_else(|| CliError::NoScenario {
        name: name.to_owned(),
    })?;
    io::stdout().lock().write_all(text.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}

fn render(source: Source, out: &Path) -> Result<ExitCode, CliError> {
    let scenario = scenario(source)?;
    render_case_csv(&scenario, out)?;
    writeln!(io::stdout(), "seed {}", scenario.seed())?;
    Ok(ExitCode::SUCCESS)
}

fn judged(args: JudgeArgs) -> Result<ExitCode, CliError> {
    let tolerance_deg = args.tolerance_deg;
    if !(tolerance_deg.is_finite() && tolerance_deg >= 0.0) {
        return Err(CliError::Tolerance { tolerance_deg });
    }
    let truth: Truth = json(&args.truth)?;
    let findings: Vec<Finding> = json(&args.findings)?;
    let rule = Rule {
        tolerance_deg,
        within_95: args.within_95,
        needed: args.needed,
    };
    let verdict = judge(&truth, &findings, &rule);
    let mut out = io::stdout().lock();
    writeln!(out, "seed {}", truth.seed)?;
    out.write_all(verdict.table().as_bytes())?;
    if verdict.lines.is_empty() {
        writeln!(out, "no findings: nothing measured is not a pass")?;
    }
    Ok(if verdict.passes() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

fn read(path: &Path) -> Result<String, CliError> {
    fs::read_to_string(path).map_err(|source| CliError::File {
        path: path.to_owned(),
        source,
    })
}

fn json<T: serde::de::DeserializeOwned>(path: &Path) -> Result<T, CliError> {
    serde_json::from_str(&read(path)?).map_err(|source| CliError::Json {
        path: path.to_owned(),
        source,
    })
}
