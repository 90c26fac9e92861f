//! The ways to the page, and what the terminal says of them.

use std::fmt::Write as _;
use std::io::{self, IsTerminal as _, Write as _};
use std::path::Path;

use tokio::net::TcpListener;

use super::CliError;
use super::args::ReachArgs;
use crate::calibration_store::CalibrationStore;
use crate::config::HttpConfig;
use crate::pairing::{CODE_MINUTES, Code as PairingCode, Commands, PairingDesk, PairingFault};
use crate::reach::{self, Code, ReachDesk, ReachOptions, ReachTask, Ways};

impl ReachArgs {
    /// What the configuration says, and the command line over it.
    pub(super) fn over(self, http: HttpConfig) -> HttpConfig {
        HttpConfig {
            https: http.https || self.https,
            announce: http.announce && !self.no_announce,
            commands: self.commands.unwrap_or(http.commands),
            names: http.names.into_iter().chain(self.names).collect(),
            ..http
        }
    }
}

/// A listener, and everything by which it is found.
pub(super) struct WayIn {
    pub(super) listener: TcpListener,
    pub(super) desk: ReachDesk,
    pub(super) task: ReachTask,
    pub(super) pairing: PairingDesk,
    /// The command that makes another code.
    again: String,
}

impl WayIn {
    /// Opens the ways to a listener.
    pub(super) fn open(
        listener: TcpListener,
        http: HttpConfig,
        folder: Option<&Path>,
    ) -> Result<Self, CliError> {
        let options = ReachOptions {
            listen: listener.local_addr().map_err(CliError::Serve)?,
            https: http.https,
            announce: http.announce,
            names: http.names,
            folder: folder.map(Path::to_owned),
        };
        let (desk, task) = reach::open(options)?;
        Ok(Self {
            listener,
            desk,
            task,
            pairing: PairingDesk::at(http.commands, folder.map(Path::to_owned)),
            again: match folder {
                Some(folder) if CalibrationStore::usual().folder() != Some(folder) => {
                    format!("hubplumb pairing code --store {}", folder.display())
                }
                _ => "hubplumb pairing code".to_owned(),
            },
        })
    }

    /// Says where the page is, and by what code a device is paired.
    pub(super) fn tell(&self) -> Result<(), CliError> {
        let commands = match self.pairing.commands() {
            Commands::Paired => match self.pairing.offer() {
                Ok(code) => Admission::Code {
                    code,
                    again: self.again.clone(),
                },
                Err(fault) => Admission::Nobody(fault),
            },
            Commands::Open => Admission::Open,
        };
        let mut out = io::stdout().lock();
        let told = told(&self.desk.ways(), &commands, out.is_terminal());
        out.write_all(told.as_bytes()).map_err(CliError::Output)?;
        out.flush().map_err(CliError::Output)
    }
}

/// What is said where the daemon runs; a picture only where it is seen.
fn told(ways: &Ways, commands: &Admission, on_terminal: bool) -> String {
    let mut text = String::new();
    let mut say = |line: &str| {
        // A string takes every text.
        let _ = writeln!(text, "{line}");
    };
    let urls = ways.urls();
    match urls.first() {
        Some(url) => say(&format!("hubplumb is at {url}")),
        None => say(&format!(
            "hubplumb listens on {}, and this machine has no address on a network yet: join one, or open {} here",
            ways.listen,
            ways.own_url(),
        )),
    }
    if ways.is_this_machine_only() {
        say(&format!(
            "Only this machine can open it. To bring in a tablet, start it with `--listen 0.0.0.0:{}`.",
            ways.listen.port()
        ));
    } else {
        for url in urls.iter().skip(1) {
            say(&format!("    or at {url}"));
        }
        if let Some(url) = ways.named_url() {
            say(&format!(
                "    or by name, where the tablet knows such names, at {url}"
            ));
        }
        say(match commands {
            Admission::Open => "Everybody on this network can open the page and press its buttons.",
            Admission::Code { .. } | Admission::Nobody(_) => {
                "Everybody on this network can open the page and look."
            }
        });
        let way = urls.first().map(|url| commands.way(url));
        if on_terminal && let Some(picture) = way.and_then(|way| Code::of(&way)) {
            say("To bring in a tablet, point its camera here:");
            say(&picture.for_terminal());
        }
    }
    match commands {
        Admission::Open => {}
        Admission::Code { code, again } => {
            let url = urls.first().cloned().unwrap_or_else(|| ways.own_url());
            say(&format!(
                "To press buttons a browser is paired once. The code is {}, for {CODE_MINUTES} minutes; `{again}` makes a new one.\n    or open {}",
                code.parted(),
                commands.way(&url),
            ));
        }
        Admission::Nobody(fault) => say(&format!(
            "Nobody can be paired, so nobody can press a button: {fault}.\n    Let this user write there, or name another folder with --store."
        )),
    }
    if let Some(facts) = &ways.certificate {
        say(&format!(
            "The browser does not know the certificate and warns, until it is told to trust \"{}\" (docs/REACH.md).\n    SHA-256 of what to trust  {}\n    SHA-256 of the page's own {}",
            facts.name, facts.fingerprint, facts.page_fingerprint
        ));
    }
    text
}

/// Who may command, as it is told.
enum Admission {
    /// Whoever gets to the page.
    Open,
    /// Whoever has the code, of which `again` makes another.
    Code { code: PairingCode, again: String },
    /// Nobody, because there is no place for paired devices.
    Nobody(PairingFault),
}

impl Admission {
    /// An address with the code behind it. What stands behind `#` is the page's own and is never sent.
    fn way(&self, url: &str) -> String {
        match self {
            Self::Code { code, .. } => format!("{url}#pair={}", code.bare()),
            Self::Open | Self::Nobody(_) => url.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn offered() -> (PairingCode, Admission) {
        let code = PairingDesk::at(Commands::Paired, None).offer().unwrap();
        let again = "hubplumb pairing code".to_owned();
        (code.clone(), Admission::Code { code, again })
    }

    fn ways(listen: &str, https: bool) -> Ways {
        let (desk, _task) = reach::open(ReachOptions {
            listen: listen.parse().unwrap(),
            https,
            announce: true,
            names: Vec::new(),
            folder: None,
        })
        .unwrap();
        desk.ways()
    }

    #[test]
    fn loopback_says_how_a_tablet_is_let_in() {
        let told = told(&ways("127.0.0.1:8710", false), &Admission::Open, true);
        assert!(
            told.starts_with("hubplumb is at http://127.0.0.1:8710/\n"),
            "{told}"
        );
        assert!(told.contains("--listen 0.0.0.0:8710"), "{told}");
        assert!(!told.contains('█'), "nobody can get there: {told}");
    }

    #[test]
    fn an_address_on_the_network_is_drawn_where_a_terminal_shows_it() {
        let ways = ways("192.168.4.20:8710", false);
        for on_terminal in [true, false] {
            let told = told(&ways, &Admission::Open, on_terminal);
            assert!(
                told.starts_with("hubplumb is at http://192.168.4.20:8710/\n"),
                "{told}"
            );
            assert!(told.contains("http://hubplumb.local:8710/"), "{told}");
            assert_eq!(told.contains('█'), on_terminal, "{told}");
            assert!(!told.contains("SHA-256"), "{told}");
        }
    }

    #[test]
    fn a_code_stands_in_words_in_the_address_and_in_the_picture() {
        let (code, offered) = offered();
        for listen in ["127.0.0.1:8710", "192.168.4.20:8710"] {
            let ways = ways(listen, false);
            let told_so = told(&ways, &offered, true);
            assert!(told_so.contains(&code.parted()), "{told_so}");
            let way = format!("http://{listen}/#pair={}", code.bare());
            assert!(told_so.contains(&way), "{told_so}");
            if !ways.is_this_machine_only() {
                let picture = Code::of(&way).unwrap().for_terminal();
                assert!(told_so.contains(&picture), "{told_so}");
                assert!(!told_so.contains("press its buttons."), "{told_so}");
            }
        }
    }

    #[test]
    fn where_nobody_can_be_paired_that_is_said() {
        let nobody = Admission::Nobody(PairingFault::NoFolder);
        let told = told(&ways("192.168.4.20:8710", false), &nobody, true);
        assert!(told.contains("Nobody can be paired"), "{told}");
        assert!(!told.contains("#pair="), "{told}");
    }

    #[test]
    fn with_https_the_fingerprints_are_told() {
        let ways = ways("192.168.4.20:8710", true);
        let told = told(&ways, &Admission::Open, false);
        assert!(
            told.starts_with("hubplumb is at https://192.168.4.20:8710/\n"),
            "{told}"
        );
        let facts = ways.certificate.unwrap();
        assert!(told.contains(&facts.fingerprint) && told.contains(&facts.page_fingerprint));
    }

    #[test]
    fn the_command_line_stands_above_the_configuration() {
        let says = |https, no_announce| ReachArgs {
            https,
            no_announce,
            commands: None,
            names: Vec::new(),
        };
        let usual = HttpConfig::default();
        assert_eq!(says(false, false).over(usual.clone()), usual);
        assert!(says(true, false).over(usual.clone()).https);
        assert!(!says(false, true).over(usual.clone()).announce);
        let written = HttpConfig {
            https: true,
            announce: false,
            commands: Commands::Open,
            names: vec!["garage.lan".to_owned()],
            ..usual
        };
        assert_eq!(says(false, false).over(written.clone()), written);
        let more = ReachArgs {
            commands: Some(Commands::Paired),
            names: vec!["bench.lan".to_owned()],
            ..says(false, false)
        };
        let more = more.over(written);
        assert_eq!(more.commands, Commands::Paired);
        assert_eq!(more.names, ["garage.lan", "bench.lan"]);
    }
}
