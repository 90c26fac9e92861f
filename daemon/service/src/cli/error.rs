//! What ends the program early, in three parts: what happened, what it means, what to do.

use std::fmt::Write as _;
use std::io;
use std::process::ExitCode;

use thiserror::Error;

use crate::config::ConfigError;
use crate::http::BindError;
use crate::http::views::TroubleView;
use crate::pairing::PairingFault;
use crate::reach::CertificateError;
use crate::store::StoreFault;

/// Exit code of a failure while running, or of a finding judged outside.
pub const EXIT_FAILED: u8 = 1;
/// Exit code of a wrong command line or configuration.
pub const EXIT_USAGE: u8 = 2;

/// What ends the program early.
#[derive(Debug, Error)]
pub enum CliError {
    /// The configuration cannot be used.
    #[error("the configuration cannot be used")]
    Config(#[from] ConfigError),
    /// The address cannot be listened on.
    #[error(transparent)]
    Bind(#[from] BindError),
    /// The page could not be served on.
    #[error("the page could not be served any longer: {0}")]
    Serve(io::Error),
    /// There is no certificate to serve the page with.
    #[error(transparent)]
    Certificate(#[from] CertificateError),
    /// The async runtime did not start.
    #[error("the runtime did not start: {0}")]
    Runtime(io::Error),
    /// A signal cannot be waited for.
    #[error("signals cannot be waited for: {0}")]
    Signal(io::Error),
    /// Standard output does not take what is written.
    #[error("the output could not be written: {0}")]
    Output(io::Error),
    /// A document could not be written as JSON.
    #[error("the document does not become JSON: {0}")]
    Document(serde_json::Error),
    /// A document that the program carries cannot be unpacked.
    #[error("the document is not whole: {0}")]
    Kept(io::Error),
    /// The port cannot be watched.
    #[error("{}", .0.what)]
    Port(TroubleView),
    /// A file that was named cannot be used.
    #[error("{}", .0.what)]
    Input(TroubleView),
    /// What was asked for is refused.
    #[error("{}", .0.what)]
    Refused(TroubleView),
    /// Paired devices cannot be had or kept.
    #[error(transparent)]
    Pairing(#[from] PairingFault),
    /// Cars and visits cannot be had or kept.
    #[error(transparent)]
    Store(#[from] StoreFault),
    /// A record could not be written as TOML.
    #[error("the record does not become TOML: {0}")]
    Toml(toml::ser::Error),
    /// There is no such scenario.
    #[error("there is no scenario `{name}`")]
    NoScenario {
        /// Name that was given.
        name: String,
        /// Names there are.
        known: Vec<String>,
    },
    /// The simulated car did not start or did not go through.
    #[error("{what}")]
    Demo {
        /// What happened.
        what: String,
        /// What to do.
        remedy: String,
    },
}

impl CliError {
    /// The three parts, as they are shown.
    pub fn report(&self) -> String {
        let (meaning, remedy) = self.meaning_and_remedy();
        let mut report = format!("error: {self}\n");
        if let Self::Config(error) = self {
            for line in error.to_string().lines() {
                let _ = writeln!(report, "  {line}");
            }
        }
        let _ = write!(report, "what it means: {meaning}\nwhat to do: {remedy}");
        report
    }

    fn meaning_and_remedy(&self) -> (String, String) {
        let words = |meaning: &str, remedy: &str| (meaning.to_owned(), remedy.to_owned());
        match self {
            Self::Config(_) => words(
                "nothing was started, so that no board is read in a way you did not mean",
                "mend the lines named above; `hubplumb check FILE` judges a file without using it",
            ),
            Self::Bind(error) => (
                "there is no page, so nothing was started".to_owned(),
                error.remedy(),
            ),
            Self::Certificate(_) => words(
                "the page cannot be served over HTTPS, so nothing was started",
                "move https.toml out of the folder of the calibrations, or leave HTTPS out",
            ),
            Self::Pairing(_) => words(
                "nobody can be paired, so nobody could press a button",
                "let this user write into the folder of the calibrations, or name another with --store; a file that is not understood can be moved away, and every device is paired anew",
            ),
            Self::Serve(_) => words("the page is gone", "start the daemon again"),
            Self::Runtime(_) | Self::Signal(_) => words(
                "nothing was started",
                "free some memory and file handles, then try again",
            ),
            Self::Output(_) => words(
                "what was asked for is not all there",
                "write to a place with room",
            ),
            Self::Store(fault) => (fault.meaning().stored(), fault.remedy().stored()),
            Self::Document(_) | Self::Toml(_) | Self::Kept(_) => words(
                "the program is at fault, not you",
                "report this with the version",
            ),
            Self::Port(trouble) | Self::Input(trouble) | Self::Refused(trouble) => {
                (trouble.meaning.to_string(), trouble.remedy.to_string())
            }
            Self::NoScenario { known, .. } => (
                "nothing was started".to_owned(),
                format!("choose one of {}", known.join(", ")),
            ),
            Self::Demo { remedy, .. } => (
                "there is no simulated car to measure".to_owned(),
                remedy.clone(),
            ),
        }
    }

    /// Exit code it ends the program with.
    pub fn exit_code(&self) -> ExitCode {
        match self {
            Self::Config(_) | Self::Input(_) | Self::NoScenario { .. } => {
                ExitCode::from(EXIT_USAGE)
            }
            // What was named is not there, or may not be put there.
            Self::Store(
                StoreFault::NoCar { .. }
                | StoreFault::NoVisit { .. }
                | StoreFault::NoEntry { .. }
                | StoreFault::Known { .. }
                | StoreFault::Exists { .. },
            ) => ExitCode::from(EXIT_USAGE),
            _ => ExitCode::from(EXIT_FAILED),
        }
    }
}
