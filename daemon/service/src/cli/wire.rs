//! How the board named on the command line talks: told there, or in a configuration.

use std::path::Path;

use hubplumb_protocol::{Packing, WireFormat};

use super::CliError;
use crate::config::{self, BoardConfig};
use crate::link::{LinkSettings, Target, Timing};
use crate::present::trouble;

/// What a command line says of one board's wire.
#[derive(Debug)]
pub(super) struct Wire<'a> {
    pub(super) port: &'a Target,
    pub(super) baud: Option<u32>,
    pub(super) format: Option<&'a WireFormat>,
    /// A configuration in which the board is described instead.
    pub(super) config: Option<&'a Path>,
}

impl Wire<'_> {
    /// How its link is run.
    pub(super) fn settings(&self) -> Result<LinkSettings, CliError> {
        let settings = |baud, format| LinkSettings {
            baud,
            format,
            timing: Timing::default(),
        };
        if let Some(file) = self.config {
            let boards = config::load(file)?.boards;
            let board = boards.into_iter().find(|board| self.is_meant(board));
            let board = board.ok_or_else(|| self.not_in(file))?;
            return Ok(settings(board.baud, board.format));
        }
        if let Some(format) = self.format {
            self.fits(format)?;
        }
        Ok(settings(self.baud, self.format.cloned()))
    }

    fn is_meant(&self, board: &BoardConfig) -> bool {
        board.target == *self.port || board.id == self.port.to_string()
    }

    fn not_in(&self, file: &Path) -> CliError {
        CliError::Input(trouble(
            "no_such_board",
            format!("{} describes no board at {}", file.display(), self.port),
            "Nothing says how it talks.",
            "Write the port as the file does, or leave the file away.",
        ))
    }

    /// Can this format be read there, by what is said?
    fn fits(&self, format: &WireFormat) -> Result<(), CliError> {
        let name = format.name();
        let is_stream = self.port.packing() == Packing::Stream;
        let refused = |what: String, remedy: &str| {
            Err(CliError::Input(trouble(
                "format_does_not_fit",
                what,
                "No reading could ever come of it.",
                remedy,
            )))
        };
        if format.question().is_none() {
            Ok(())
        } else if !is_stream {
            refused(
                format!(
                    "a `{name}` board has to be asked, and nothing can be asked over {}",
                    self.port
                ),
                "Reach it by a serial line or a TCP connection.",
            )
        } else if self.port.has_speed() && self.baud.is_none() {
            refused(
                format!(
                    "a `{name}` board speaks only when it is asked, so its speed cannot be found by listening"
                ),
                "Add `--baud` with the speed set in the board.",
            )
        } else {
            Ok(())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(baud: Option<u32>, config: Option<&Path>) -> Result<LinkSettings, CliError> {
        Wire {
            port: &"/dev/ttyUSB0".parse().unwrap(),
            baud,
            format: config.is_none().then_some(&WireFormat::Bno055),
            config,
        }
        .settings()
    }

    #[test]
    fn a_board_that_must_be_asked_needs_its_speed() {
        let error = settings(None, None).unwrap_err();
        assert!(error.report().contains("--baud"), "{}", error.report());
        assert_eq!(settings(Some(115_200), None).unwrap().baud, Some(115_200));
    }

    #[test]
    fn a_configuration_tells_how_its_boards_talk() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("car.toml");
        let board = |port: &str| {
            let text = format!("[[board]]\nport = \"{port}\"\nbaud = 9600\nformat = \"nmea\"\n");
            std::fs::write(&file, text).unwrap();
        };
        board("/dev/ttyUSB0");
        let told = settings(None, Some(&file)).unwrap();
        assert_eq!(told.baud, Some(9600));
        assert_eq!(told.format.map(|format| format.name()), Some("nmea"));
        board("/dev/ttyUSB1");
        let error = settings(None, Some(&file)).unwrap_err();
        assert!(
            error.report().contains("no board at /dev/ttyUSB0"),
            "{}",
            error.report()
        );
    }
}
