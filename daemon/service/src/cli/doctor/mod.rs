//! `hubplumb doctor`: looks at a whole set-up, and says what is wrong and what to do.
//!
//! Nothing is changed. Each check stands alone: one that cannot be done hinders no other.

mod boards;
mod check;
mod machine;
mod page;
mod store;

use std::io::{self, Write as _};
use std::process::ExitCode;

use super::upkeep_args::DoctorArgs;
use super::{CliError, EXIT_FAILED};
use crate::calibration_store::CalibrationStore;
use crate::config::{self, Config};
use crate::link::{PortTree, Ways};
use check::{Check, Report, told};

pub(super) async fn doctor(args: DoctorArgs) -> Result<ExitCode, CliError> {
    let (mut config, judged) = configuration(&args);
    if let Some(listen) = args.listen {
        config.http.listen = listen;
    }
    let http = args.reach.over(config.http.clone());
    let kept = args
        .store
        .map_or_else(CalibrationStore::usual, CalibrationStore::at);
    let mut ways = Ways::system();
    if let Some(folder) = &args.ports {
        ways.ports = PortTree::listing(folder);
    }
    let mut checks = vec![judged];
    let (running, page) = page::address(&http).await;
    checks.extend(page);
    checks.extend(boards::ports(&ways, &config, running, args.closed).await);
    checks.push(boards::bluetooth(&config).await);
    checks.extend(machine::grabbers());
    let stored = store::store(&kept, &ways, &config).await;
    checks.extend(stored.checks);
    checks.push(machine::room(kept.folder()));
    checks.push(machine::clock(stored.newest_at.as_deref()));
    checks.push(page::announcement(&http));
    checks.push(page::certificate(&http, kept.folder()));

    let report = Report::of(checks);
    let text = if args.json {
        serde_json::to_string_pretty(&report).map_err(CliError::Document)? + "\n"
    } else {
        report.words()
    };
    io::stdout()
        .write_all(text.as_bytes())
        .map_err(CliError::Output)?;
    Ok(if report.wrong == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(EXIT_FAILED)
    })
}

/// What the daemon would be started with; what holds without a file where that cannot be used.
fn configuration(args: &DoctorArgs) -> (Config, Check) {
    const NAME: &str = "configuration";
    let Some(file) = &args.config else {
        let said = "No file is named: every serial port is listened to.";
        return (Config::default(), Check::well(NAME, said));
    };
    match config::load(file) {
        Ok(config) => {
            let said = format!(
                "{} is sound and names {} boards.",
                file.display(),
                config.boards.len()
            );
            (config, Check::well(NAME, said))
        }
        Err(error) => {
            let trouble = told(
                "configuration",
                error.to_string(),
                "The daemon does not start with it. What follows was looked at as without a file.",
                "Mend the lines that are named; each says how.",
            );
            (Config::default(), Check::wrong(NAME, trouble))
        }
    }
}
