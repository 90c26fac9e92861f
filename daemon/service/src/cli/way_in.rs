//! The ways to the page, and what the terminal says of them.

use std::fmt::Write as _;
use std::io::{self, IsTerminal as _, Write as _};
use std::path::Path;

use tokio::net::TcpListener;

use super::CliError;
use super::args::ReachArgs;
use crate::config::HttpConfig;
use crate::reach::{self, Code, ReachDesk, ReachOptions, ReachTask, Ways};

impl ReachArgs {
    /// What the configuration says, and the command line over it.
    pub(super) fn over(self, http: HttpConfig) -> HttpConfig {
        HttpConfig {
            https: http.https || self.https,
            announce: http.announce && !self.no_announce,
            ..http
        }
    }
}

/// A listener, and everything by which it is found.
pub(super) struct WayIn {
    pub(super) listener: TcpListener,
    pub(super) desk: ReachDesk,
    pub(super) task: ReachTask,
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
            folder: folder.map(Path::to_owned),
        };
        let (desk, task) = reach::open(options)?;
        Ok(Self {
            listener,
            desk,
            task,
        })
    }

    /// Says where the page is.
    pub(super) fn tell(&self) -> Result<(), CliError> {
        let mut out = io::stdout().lock();
        let told = told(&self.desk.ways(), out.is_terminal());
        out.write_all(told.as_bytes()).map_err(CliError::Output)?;
        out.flush().map_err(CliError::Output)
    }
}

/// What is said where the daemon runs; a code only where it is seen.
fn told(ways: &Ways, on_terminal: bool) -> String {
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
            "Only this machine can open it. To bring in a tablet, start it with `--listen 0.0.0.0:{}`:\neverybody on the network can then open the page and press its buttons.",
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
        say("Everybody on this network can open the page and press its buttons.");
        if on_terminal && let Some(code) = urls.first().and_then(|url| Code::of(url)) {
            say("To bring in a tablet, point its camera here:");
            say(&code.for_terminal());
        }
    }
    if let Some(facts) = &ways.certificate {
        say(&format!(
            "The browser does not know the certificate and warns, until it is told to trust \"{}\" (docs/REACH.md).\n    SHA-256 of what to trust  {}\n    SHA-256 of the page's own {}",
            facts.name, facts.fingerprint, facts.page_fingerprint
        ));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ways(listen: &str, https: bool) -> Ways {
        let (desk, _task) = reach::open(ReachOptions {
            listen: listen.parse().unwrap(),
            https,
            announce: true,
            folder: None,
        })
        .unwrap();
        desk.ways()
    }

    #[test]
    fn loopback_says_how_a_tablet_is_let_in() {
        let told = told(&ways("127.0.0.1:8710", false), true);
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
            let told = told(&ways, on_terminal);
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
    fn with_https_the_fingerprints_are_told() {
        let ways = ways("192.168.4.20:8710", true);
        let told = told(&ways, false);
        assert!(
            told.starts_with("hubplumb is at https://192.168.4.20:8710/\n"),
            "{told}"
        );
        let facts = ways.certificate.unwrap();
        assert!(told.contains(&facts.fingerprint) && told.contains(&facts.page_fingerprint));
    }

    #[test]
    fn the_command_line_stands_above_the_configuration() {
        let says = |https, no_announce| ReachArgs { https, no_announce };
        let usual = HttpConfig::default();
        assert!(!says(false, false).over(usual).https && says(false, false).over(usual).announce);
        assert!(says(true, false).over(usual).https);
        assert!(!says(false, true).over(usual).announce);
        let written = HttpConfig {
            https: true,
            announce: false,
            ..usual
        };
        assert_eq!(says(false, false).over(written), written);
    }
}
