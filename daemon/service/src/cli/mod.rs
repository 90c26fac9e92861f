//! The command line.

mod allan;
mod alone;
mod args;
mod boards;
mod calibrate;
mod cars;
mod check;
mod demo;
mod doctor;
mod error;
mod kept;
mod log;
mod packaged;
mod pairing;
mod recomputed;
mod replay;
mod run;
mod solve;
mod stop;
mod upkeep_args;
mod visit_args;
mod visits;
mod watch;
mod way_in;
mod wire;

use std::io::{self, Write as _};
use std::process::ExitCode;
use std::time::Duration;

use clap::Parser as _;

use args::{Args, Command};
pub use error::{CliError, EXIT_FAILED, EXIT_USAGE};

use upkeep_args::LogArgs;

use crate::config::{self, LogConfig};
use crate::documents::Document;

/// How long tasks that are stuck in a system call may hold up the end.
const LAST_GRACE: Duration = Duration::from_millis(300);

/// Runs the program.
pub fn main() -> ExitCode {
    let args = Args::parse();
    begin_log(args.log, &args.command);
    match dispatch(args.command) {
        Ok(code) => code,
        // Whoever reads the output has enough, as `| head` does.
        Err(CliError::Output(error)) if error.kind() == io::ErrorKind::BrokenPipe => {
            ExitCode::SUCCESS
        }
        Err(error) => {
            // Where even stderr is gone there is nobody left to tell.
            let _ = writeln!(io::stderr(), "{}", error.report());
            error.exit_code()
        }
    }
}

/// A daemon tells what it does, and its configuration has a say in that. What is wrong with the
/// configuration is told when it is read in earnest.
fn begin_log(log: LogArgs, command: &Command) {
    let Command::Run(args) = command else {
        return log::begin(log, &LogConfig::default(), "warn");
    };
    let config = args.config.as_deref().map(config::load);
    let configured = config.and_then(Result::ok).unwrap_or_default().log;
    log::begin(log, &configured, "warn,hubplumb=info");
}

fn dispatch(command: Command) -> Result<ExitCode, CliError> {
    match command {
        Command::Openapi => kept(Document::Interface),
        Command::Completions(args) => packaged::completions(&args),
        Command::Man(args) => packaged::man(&args),
        Command::Published => kept(Document::Published),
        Command::Check(args) => check::check(&args),
        Command::Doctor(args) => in_runtime(doctor::doctor(args)),
        Command::Solve(args) => solve::solve(&args),
        Command::Allan(args) => allan::allan(&args),
        Command::Replay(args) => replay::replay(&args),
        Command::Cars(args) => cars::cars(&args),
        Command::Visits(args) => visits::visits(&args),
        Command::Sheet(args) => visits::sheet(&args),
        Command::Pairing(args) => pairing::pairing(&args),
        Command::Run(args) => in_runtime(run::run(args)),
        Command::Demo(args) => in_runtime(demo::demo(args)),
        Command::Boards(args) => in_runtime(boards::boards(args)),
        Command::Watch(args) => in_runtime(watch::watch(args)),
        Command::Calibrate(args) => in_runtime(calibrate::calibrate(*args)),
    }
}

fn kept(document: Document) -> Result<ExitCode, CliError> {
    solve::print(&document.kept().map_err(CliError::Kept)?)?;
    Ok(ExitCode::SUCCESS)
}

fn in_runtime(
    work: impl Future<Output = Result<ExitCode, CliError>>,
) -> Result<ExitCode, CliError> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(CliError::Runtime)?;
    let done = runtime.block_on(work);
    runtime.shutdown_timeout(LAST_GRACE);
    done
}
