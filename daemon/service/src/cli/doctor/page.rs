//! The page: its address, who answers there, its announcement and its certificate.

use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::time::Duration;

use serde_json::Value;
use socket2::{Domain, Protocol, Socket, Type};
use time::OffsetDateTime;

use super::check::{Check, told};
use crate::config::HttpConfig;
use crate::http::{Answer, BindError, from_here, knock};
use crate::reach::{Inspected, inspect_certificate, is_this_machine_only, reachable_now};

/// Port of multicast DNS (RFC 6762).
const MDNS_PORT: u16 = 5353;
/// Its group.
const MDNS_GROUP: Ipv4Addr = Ipv4Addr::new(224, 0, 0, 251);

/// A daemon that does not answer within this is as good as none.
const PATIENCE: Duration = Duration::from_secs(3);

/// Is the address free? If not, is it a daemon of ours that has it, and how is it?
pub(super) async fn address(http: &HttpConfig) -> (bool, Vec<Check>) {
    const NAME: &str = "address";
    let address = http.listen;
    let Err(source) = TcpListener::bind(address) else {
        let said = format!("{address} is free.");
        return (false, vec![Check::well(NAME, said)]);
    };
    if source.kind() == io::ErrorKind::AddrInUse
        && let Ok(answer) = knock(from_here(address), "/api/v1/ready", PATIENCE).await
        && let Some(daemon) = judge_daemon(address, &answer)
    {
        let said = format!("{address} is used by a hubplumb that runs.");
        return (true, vec![Check::well(NAME, said), daemon]);
    }
    let error = BindError { address, source };
    let trouble = told(
        "address",
        format!("{error}."),
        "There would be no page, so the daemon does not start.",
        format!("{}.", error.remedy()),
    );
    (false, vec![Check::wrong(NAME, trouble)])
}

/// How a daemon that runs is; none where the answer is no daemon's.
fn judge_daemon(address: SocketAddr, answer: &Answer) -> Option<Check> {
    const NAME: &str = "daemon";
    let body: Value = serde_json::from_str(&answer.body).ok()?;
    if body["code"] == "https_only" {
        return Some(Check::note(
            NAME,
            format!("The one at {address} answers by HTTPS only; open its page to see how it is."),
        ));
    }
    let status = body["status"].as_str()?;
    let checks = body["checks"].as_array()?;
    let wrong = checks.iter().find(|check| check["ok"] == false);
    let Some(wrong) = wrong else {
        return Some(Check::well(
            NAME,
            format!("The one at {address} is {status}."),
        ));
    };
    let part = |name: &str| {
        let part = wrong["trouble"][name].as_str();
        part.unwrap_or_default().to_owned()
    };
    let what = format!("The one at {address} is {status}: {}", part("what"));
    let trouble = told("daemon", what, part("meaning"), part("remedy"));
    Some(Check::wrong(NAME, trouble))
}

/// Can the page be found by its name?
pub(super) fn announcement(http: &HttpConfig) -> Check {
    const NAME: &str = "announcement";
    if is_this_machine_only(http.listen) {
        return Check::left_out(
            NAME,
            "Only this machine can open the page, so there is nothing to announce.",
        );
    }
    if !http.announce {
        return Check::left_out(NAME, "It is switched off.");
    }
    if reachable_now(http.listen).is_empty() {
        return Check::wrong(
            NAME,
            told(
                "no_network",
                "This machine has no address on a network.",
                "No tablet can open the page.",
                "Join a network; the daemon takes notice by itself.",
            ),
        );
    }
    judge_multicast(multicast(MDNS_PORT))
}

fn judge_multicast(tried: io::Result<()>) -> Check {
    const NAME: &str = "announcement";
    match tried {
        Ok(()) => Check::well(NAME, "The page can be announced by multicast DNS."),
        Err(error) => Check::wrong(
            NAME,
            told(
                "announcement",
                format!("The page cannot be announced: {error}."),
                "It is not found by its name; its numeric address works.",
                "Where another program has UDP port 5353 for itself, let it share (in avahi: `disallow-other-stacks=no`); else leave announcing out with `--no-announce`.",
            ),
        ),
    }
}

/// Opens what announcing needs, and closes it again. Nothing is sent.
fn multicast(port: u16) -> io::Result<()> {
    let socket = Socket::new(Domain::IPV4, Type::DGRAM, Some(Protocol::UDP))?;
    socket.set_reuse_address(true)?;
    socket.set_reuse_port(true)?;
    socket.bind(&SocketAddr::from((Ipv4Addr::UNSPECIFIED, port)).into())?;
    socket.join_multicast_v4(&MDNS_GROUP, &Ipv4Addr::UNSPECIFIED)
}

/// The certificate that HTTPS would use.
pub(super) fn certificate(http: &HttpConfig, folder: Option<&Path>) -> Check {
    const NAME: &str = "certificate";
    const ANEW: &str =
        "The next start makes another, and every tablet has to trust it anew (docs/REACH.md).";
    let inspected = folder.map(|folder| inspect_certificate(folder, OffsetDateTime::now_utc()));
    let trouble = |code, what: String, meaning, remedy| {
        let trouble = told(code, what, meaning, remedy);
        // Without HTTPS nobody meets it.
        if http.https {
            Check::wrong(NAME, trouble)
        } else {
            Check::noted(NAME, trouble)
        }
    };
    match inspected {
        None | Some(Inspected::Missing) if http.https => {
            Check::note(NAME, "There is none yet; the first start makes it.")
        }
        None | Some(Inspected::Missing) => {
            Check::left_out(NAME, "HTTPS is off, and there is none.")
        }
        Some(Inspected::Good { until }) => {
            Check::well(NAME, format!("Tablets can trust it until {until}."))
        }
        Some(Inspected::Ends { until }) => trouble(
            "certificate_ends",
            format!("It is good until {until} and no longer."),
            ANEW,
            "Start the daemon with HTTPS, and let the tablets trust the new one.",
        ),
        Some(Inspected::Open { file, mode }) => trouble(
            "certificate_open",
            format!("{} can be read by others (mode {mode:o}).", file.display()),
            "Who has its key can pass for this machine's page.",
            "Start the daemon once, which closes it, or `chmod 600` it; if others use this machine, delete it and trust the next.",
        ),
        Some(Inspected::Unusable { file, why }) => trouble(
            "certificate_unusable",
            format!("{} cannot be used: {why}.", file.display()),
            ANEW,
            "Put a copy of the file back if you have one, or let the next start make another.",
        ),
    }
}

#[cfg(test)]
mod tests {
    use std::net::UdpSocket;

    use super::super::check::State;
    use super::*;

    #[test]
    fn a_daemon_is_told_by_its_answer() {
        let here = "127.0.0.1:8710".parse().unwrap();
        for (body, state) in [
            (
                r#"{"status":"ready","checks":[{"name":"store","ok":true}]}"#,
                Some(State::Well),
            ),
            (
                r#"{"status":"degraded","checks":[{"name":"store","ok":false,"trouble":{"what":"W.","meaning":"M.","remedy":"R."}}]}"#,
                Some(State::Wrong),
            ),
            (r#"{"code":"https_only"}"#, Some(State::Note)),
            (r#"{"status":"fine"}"#, None),
            ("<html>", None),
        ] {
            let answer = Answer {
                status: 200,
                body: body.to_owned(),
            };
            let found = judge_daemon(here, &answer);
            assert_eq!(found.as_ref().map(|check| check.state), state, "{body}");
            if state == Some(State::Wrong) {
                let trouble = found.unwrap().trouble.unwrap();
                assert!(trouble.what.to_string().ends_with("degraded: W."));
                assert_eq!(trouble.remedy.to_string(), "R.");
            }
        }
    }

    #[test]
    fn a_port_that_somebody_has_alone_cannot_be_announced_on() {
        let alone = UdpSocket::bind("0.0.0.0:0").unwrap();
        let port = alone.local_addr().unwrap().port();
        let check = judge_multicast(multicast(port));
        assert_eq!(check.state, State::Wrong, "{check:?}");
        assert!(check.trouble.unwrap().what.to_string().contains("in use"));
    }
}
