//! How a tablet gets to the page: addresses, a certificate, a code for its camera, an
//! announcement on the network. What of it changes while the daemon runs is followed.

mod addresses;
mod announce;
mod certificate;
mod code;
#[cfg(test)]
pub(crate) mod tests;

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use time::OffsetDateTime;
use tokio::sync::watch;
use tokio::time::{MissedTickBehavior, interval};
use tokio_rustls::rustls::ServerConfig;
use tokio_util::sync::CancellationToken;

pub(crate) use addresses::is_this_machine_only;
use announce::{Announcement, HOST, Heard, On};
pub use certificate::CertificateError;
use certificate::Certificates;
pub(crate) use certificate::Facts;
pub(crate) use certificate::{Inspected, inspect as inspect_certificate};
pub(crate) use code::Code;

/// How often addresses and the certificate's end are looked at: somebody who carried the machine
/// to another network stands before it and waits.
const LOOK: Duration = Duration::from_secs(10);

/// What every machine calls itself.
const LOCALHOST: &str = "localhost";

/// What of the ways in can be chosen.
#[derive(Debug, Clone)]
pub struct ReachOptions {
    /// Where the daemon listens.
    pub listen: SocketAddr,
    /// Is the page served over HTTPS?
    pub https: bool,
    /// Is it announced on the network?
    pub announce: bool,
    /// Further names that the page is opened by, e.g. one that the router of the network gives.
    pub names: Vec<String>,
    /// Folder that the certificate is kept in; without one it ends with the run.
    pub folder: Option<PathBuf>,
}

/// What came of announcing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Announced {
    /// Not wished, or there is no network to tell it to.
    Off,
    /// Asked whether the name is free.
    Asking,
    /// Told.
    Told,
    /// It cannot be told.
    Failed,
}

/// The ways in, as they are now.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Ways {
    pub(crate) listen: SocketAddr,
    pub(crate) https: bool,
    /// Addresses, the likeliest for a tablet first.
    pub(crate) addresses: Vec<IpAddr>,
    /// Name under which it is announced.
    pub(crate) name: String,
    /// Further names that it may be opened by, in small letters.
    pub(crate) names: Vec<String>,
    pub(crate) announced: Announced,
    pub(crate) certificate: Option<Facts>,
}

impl Ways {
    /// The whole address for a host.
    fn url(&self, host: &str) -> String {
        let scheme = if self.https { "https" } else { "http" };
        format!("{scheme}://{host}:{}/", self.listen.port())
    }

    /// The whole addresses, the likeliest for a tablet first.
    pub(crate) fn urls(&self) -> Vec<String> {
        self.addresses
            .iter()
            .map(|address| match address {
                IpAddr::V4(address) => self.url(&address.to_string()),
                IpAddr::V6(address) => self.url(&format!("[{address}]")),
            })
            .collect()
    }

    /// The whole address for this machine itself.
    pub(crate) fn own_url(&self) -> String {
        self.url(LOCALHOST)
    }

    /// The whole address by name; none where no name is announced.
    pub(crate) fn named_url(&self) -> Option<String> {
        matches!(self.announced, Announced::Asking | Announced::Told).then(|| self.url(&self.name))
    }

    /// May the page be asked for under this host? Every address may: a page of another site gets
    /// a browser to ask here only by a name that it lets point here (DNS rebinding).
    pub(crate) fn is_called(&self, host: &str) -> bool {
        let bare = host
            .strip_prefix('[')
            .and_then(|host| host.strip_suffix(']'));
        if bare.is_some_and(|bare| bare.parse::<Ipv6Addr>().is_ok())
            || host.parse::<Ipv4Addr>().is_ok()
        {
            return true;
        }
        // A name may be written with the dot of the root.
        let host = host.strip_suffix('.').unwrap_or(host);
        [LOCALHOST, HOST, &self.name]
            .into_iter()
            .chain(self.names.iter().map(String::as_str))
            .any(|name| name.eq_ignore_ascii_case(host))
    }

    /// Can nobody but this machine open the page?
    pub(crate) fn is_this_machine_only(&self) -> bool {
        is_this_machine_only(self.listen)
    }
}

/// Way to what is known of the ways in.
#[derive(Debug, Clone)]
pub struct ReachDesk {
    ways: watch::Receiver<Ways>,
    tls: Option<watch::Receiver<Arc<ServerConfig>>>,
}

impl ReachDesk {
    /// The ways in, as they are now.
    pub(crate) fn ways(&self) -> Ways {
        self.ways.borrow().clone()
    }

    /// May the page be asked for under this host?
    pub(crate) fn is_called(&self, host: &str) -> bool {
        self.ways.borrow().is_called(host)
    }

    /// What connections are secured by; none where HTTPS is off.
    pub(crate) fn tls(&self) -> Option<watch::Receiver<Arc<ServerConfig>>> {
        self.tls.clone()
    }
}

/// Keeps the ways in current until the daemon stops.
pub struct ReachTask {
    options: ReachOptions,
    machine: String,
    certificates: Option<Certificates>,
    tell: watch::Sender<Ways>,
    secure: Option<watch::Sender<Arc<ServerConfig>>>,
}

/// Addresses under which the page could be opened now.
pub(crate) fn reachable_now(listen: SocketAddr) -> Vec<IpAddr> {
    addresses::reachable(listen, &addresses::found())
}

/// Opens the ways in.
pub fn open(options: ReachOptions) -> Result<(ReachDesk, ReachTask), CertificateError> {
    let machine = machine();
    let addresses = addresses::reachable(options.listen, &addresses::found());
    let announce = options.announce && !is_this_machine_only(options.listen);
    let mut ways = Ways {
        listen: options.listen,
        https: options.https,
        addresses,
        name: HOST.to_owned(),
        names: own_names(&machine, &options.names),
        announced: if announce {
            Announced::Asking
        } else {
            Announced::Off
        },
        certificate: None,
    };
    let certificates = options
        .https
        .then(|| {
            let names = names(&ways);
            Certificates::open(options.folder.clone(), &names, OffsetDateTime::now_utc())
        })
        .transpose()?;
    let mut secure = None;
    let mut tls = None;
    if let Some(certificates) = &certificates {
        ways.certificate = Some(certificates.facts()?);
        let (tell, told) = watch::channel(certificates.server_config()?);
        (secure, tls) = (Some(tell), Some(told));
    }
    let (tell, told) = watch::channel(ways);
    let task = ReachTask {
        options,
        machine,
        certificates,
        tell,
        secure,
    };
    Ok((ReachDesk { ways: told, tls }, task))
}

/// The name of this machine, without its domain.
fn machine() -> String {
    let name = nix::unistd::gethostname().unwrap_or_default();
    let name = name.to_string_lossy();
    let first = name.split('.').next().unwrap_or_default();
    let is_label = |letter: char| letter.is_ascii_alphanumeric() || letter == '-';
    let clean: String = first.chars().filter(|letter| is_label(*letter)).collect();
    if clean.is_empty() {
        "this machine".to_owned()
    } else {
        clean.to_lowercase()
    }
}

/// The names that this machine has by itself, and those it was given.
fn own_names(machine: &str, given: &[String]) -> Vec<String> {
    let mut names: Vec<String> = given.iter().map(|name| name.to_lowercase()).collect();
    // Many systems announce their own name by themselves.
    if !machine.contains(' ') {
        names.extend([machine.to_owned(), format!("{machine}.local")]);
    }
    names
}

/// Everything the certificate is for.
fn names(ways: &Ways) -> Vec<String> {
    let mut names: Vec<String> = ways.addresses.iter().map(ToString::to_string).collect();
    let mut add = |name: String| {
        if !names.contains(&name) {
            names.push(name);
        }
    };
    add(ways.name.clone());
    add(HOST.to_owned());
    // The authority vouches for no other names: one that ended otherwise would spoil all of it.
    let local = ways
        .names
        .iter()
        .filter(|name| name.rsplit('.').next() == Some("local"));
    local.cloned().for_each(&mut add);
    add("127.0.0.1".to_owned());
    add(LOCALHOST.to_owned());
    names
}

impl ReachTask {
    /// Runs until `stop`, and takes the announcement back then.
    pub async fn run(mut self, stop: CancellationToken) {
        let announcement = self.announce();
        let mut looks = interval(LOOK);
        looks.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            tokio::select! {
                () = stop.cancelled() => break,
                _ = looks.tick() => self.look(),
                Some(heard) = next(announcement.as_ref()) => self.hear(heard),
            }
        }
        if let Some(announcement) = announcement {
            announcement.withdraw().await;
        }
    }

    fn announce(&self) -> Option<Announcement> {
        if self.tell.borrow().announced == Announced::Off {
            return None;
        }
        let on = On::of(self.options.listen);
        let port = self.options.listen.port();
        match Announcement::begin(&on, port, self.options.https, &self.machine) {
            Ok(announcement) => Some(announcement),
            Err(error) => {
                tracing::warn!(%error, "the page cannot be announced; open it by its numeric address");
                self.tell
                    .send_modify(|ways| ways.announced = Announced::Failed);
                None
            }
        }
    }

    fn hear(&mut self, heard: Heard) {
        match heard {
            Heard::Announced => {
                self.tell
                    .send_modify(|ways| ways.announced = Announced::Told);
            }
            Heard::Renamed(name) => {
                tracing::warn!(
                    name,
                    "another machine is called {HOST}; the page has this name"
                );
                self.tell.send_modify(|ways| ways.name = name);
                self.renew();
            }
        }
    }

    /// Looks at the addresses, and at the certificate.
    fn look(&mut self) {
        let addresses = addresses::reachable(self.options.listen, &addresses::found());
        self.tell.send_if_modified(|ways| {
            let changed = ways.addresses != addresses;
            ways.addresses = addresses;
            changed
        });
        self.renew();
    }

    fn renew(&mut self) {
        let (Some(certificates), Some(secure)) = (&mut self.certificates, &self.secure) else {
            return;
        };
        let names = names(&self.tell.borrow());
        let renewed = certificates
            .renew(&names, OffsetDateTime::now_utc())
            .and_then(|renewed| {
                if renewed {
                    secure.send_replace(certificates.server_config()?);
                    let facts = certificates.facts()?;
                    tracing::info!("the page's certificate was made anew");
                    self.tell.send_modify(|ways| ways.certificate = Some(facts));
                }
                Ok(())
            });
        if let Err(error) = renewed {
            tracing::error!(%error, "the page goes on with its certificate of before");
        }
    }
}

/// What is heard next; waits for ever where nothing is announced.
async fn next(announcement: Option<&Announcement>) -> Option<Heard> {
    match announcement {
        Some(announcement) => announcement.heard().await,
        None => std::future::pending().await,
    }
}
