//! What the program says of its own work, on stderr.

use std::io::{self, IsTerminal as _, Write as _};

use tracing_subscriber::EnvFilter;

use super::upkeep_args::LogArgs;
use crate::config::{LogConfig, LogFormat};

/// Begins the log. The command line goes before the environment, that before the configuration, and
/// that before what is usual.
pub(super) fn begin(args: LogArgs, config: &LogConfig, usual: &str) {
    let from_environment = || std::env::var(EnvFilter::DEFAULT_ENV).ok();
    let wanted = args
        .filter
        .or_else(from_environment)
        .or_else(|| config.filter.clone())
        .unwrap_or_else(|| usual.to_owned());
    let filter = EnvFilter::try_new(&wanted).unwrap_or_else(|error| {
        let _ = writeln!(
            io::stderr(),
            "the log filter is not understood ({error}); `{usual}` is used"
        );
        EnvFilter::new(usual)
    });
    let log = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(io::stderr);
    match args.format.or(config.format).unwrap_or_default() {
        LogFormat::Text => log.with_ansi(io::stderr().is_terminal()).init(),
        LogFormat::Json => log.json().flatten_event(true).init(),
    }
}
