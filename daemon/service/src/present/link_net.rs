//! Why a board on a network does not talk: what happened, what it means, what to do.

use super::trouble;
use crate::http::views::TroubleView;
use crate::link::NetRefusal;
use crate::text;
use crate::text::Text;

const TRIED_AGAIN: Text = text!("It is tried again by itself.");

/// Words for a board on a network that cannot be reached, or not be waited for.
#[expect(
    clippy::too_many_lines,
    reason = "one arm with its sentences for every case"
)]
pub(super) fn net_refused(refusal: &NetRefusal) -> TroubleView {
    match refusal {
        NetRefusal::ConnectionRefused { peer } => trouble(
            "connection_refused",
            text!("The connection to {peer} is refused.", peer),
            text!(
                "A machine answers at that address, and nothing listens at that port: the board's program has not started its server, or it is another machine."
            ),
            text!(
                "Check the port in the board's sketch, and that it serves more than one connection if another program reads it. {TRIED_AGAIN}",
                TRIED_AGAIN
            ),
        ),
        NetRefusal::Unreachable { peer, why } => trouble(
            "unreachable",
            text!("{peer} cannot be reached: {why}.", peer, why),
            text!(
                "The board is off, out of the radio's range, or in another network than this machine."
            ),
            text!(
                "Switch the board on, and see that both are in one network and that the address is still the board's. {TRIED_AGAIN}",
                TRIED_AGAIN
            ),
        ),
        NetRefusal::NameUnknown { host, why } => trouble(
            "name_unknown",
            text!("No machine named {host} is found: {why}.", host, why),
            text!(
                "The name is spelled otherwise, the board is off, or this machine cannot look such names up."
            ),
            text!(
                "Write the board's address in place of its name; names that end in .local need the system's mDNS service. {TRIED_AGAIN}",
                TRIED_AGAIN
            ),
        ),
        NetRefusal::Ended { peer } => trouble(
            "connection_ended",
            text!("The connection with {peer} has ended.", peer),
            text!(
                "The board closed it: it restarts, or it serves one connection only and took another."
            ),
            text!("Wait for the board to start. {TRIED_AGAIN}", TRIED_AGAIN),
        ),
        NetRefusal::NoCaller { at } => trouble(
            "no_caller",
            text!("No board has called at {at}.", at),
            text!(
                "This machine listens there. The board is off, calls another address, or a firewall is between."
            ),
            if at.starts_with("127.") || at.starts_with("[::1]") {
                text!(
                    "That address is open to this machine only: for a board on the network write `0.0.0.0` in its place, or this machine's own address, and let the board call that."
                )
            } else {
                text!(
                    "Check the address and port in the board's sketch: they are this machine's own. A board that calls is taken at once."
                )
            },
        ),
        NetRefusal::AddressInUse { at } => trouble(
            "address_in_use",
            text!("{at} is in use already.", at = at.to_string()),
            text!(
                "Another program listens there, perhaps another hubplumb, or two boards of this configuration share it in different spellings."
            ),
            text!(
                "Find the program with `ss -lptun sport = :{port}` and end it, or choose another port here and in the board's sketch. {TRIED_AGAIN}",
                port = at.port(),
                TRIED_AGAIN
            ),
        ),
        NetRefusal::PortDenied { at } => trouble(
            "port_denied",
            text!(
                "Nobody but the system's own services may listen at {at}.",
                at = at.to_string()
            ),
            text!("Ports below 1024 are kept for them."),
            text!("Choose a port from 1024 up, here and in the board's sketch."),
        ),
        NetRefusal::AddressForeign { at } => trouble(
            "address_foreign",
            text!(
                "{ip} is no address of this machine.",
                ip = at.ip().to_string()
            ),
            text!(
                "An address to listen at is one of this machine's own; the board's goes behind a slash."
            ),
            text!(
                "Write `0.0.0.0:{port}` to listen in every network, and `0.0.0.0:{port}/{ip}` if {ip} is the board.",
                port = at.port(),
                ip = at.ip().to_string()
            ),
        ),
        NetRefusal::Failed { what, why } => trouble(
            "network_failed",
            text!("Network trouble: {what} failed: {why}.", what, why),
            text!("The system refuses it."),
            text!("Check this machine's network. {TRIED_AGAIN}", TRIED_AGAIN),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_refusal_says_what_happened_and_what_to_do() {
        let at = "10.0.0.7:900".parse().unwrap();
        let (peer, why) = ("board:3333".to_owned(), "because".to_owned());
        let no_caller = |at: &str| NetRefusal::NoCaller { at: at.to_owned() };
        for (refusal, parts) in [
            (
                NetRefusal::ConnectionRefused { peer: peer.clone() },
                ["connection_refused", "board:3333", "sketch"],
            ),
            (
                NetRefusal::Unreachable {
                    peer: peer.clone(),
                    why: why.clone(),
                },
                ["unreachable", "because", "one network"],
            ),
            (
                NetRefusal::NameUnknown {
                    host: "board".to_owned(),
                    why: why.clone(),
                },
                ["name_unknown", "named board", ".local"],
            ),
            (
                NetRefusal::Ended { peer },
                ["connection_ended", "board:3333", "Wait"],
            ),
            (
                no_caller("127.0.0.1:3333"),
                ["no_caller", "127.0.0.1:3333", "0.0.0.0"],
            ),
            (
                no_caller("0.0.0.0:3333/10.0.0.7"),
                ["no_caller", "10.0.0.7", "sketch"],
            ),
            (
                NetRefusal::AddressInUse { at },
                ["address_in_use", "10.0.0.7:900", "sport = :900"],
            ),
            (
                NetRefusal::PortDenied { at },
                ["port_denied", "10.0.0.7:900", "1024 up"],
            ),
            (
                NetRefusal::AddressForeign { at },
                ["address_foreign", "10.0.0.7 is no", "0.0.0.0:900/10.0.0.7"],
            ),
            (
                NetRefusal::Failed {
                    what: "listening".to_owned(),
                    why,
                },
                ["network_failed", "listening failed: because", "again"],
            ),
        ] {
            let view = net_refused(&refusal);
            for sentence in [&view.what, &view.meaning, &view.remedy] {
                assert!(sentence.ends_with("."), "a whole sentence: {sentence}");
            }
            let told = format!("{} {} {}", view.code, view.what, view.remedy);
            for part in parts {
                assert!(told.contains(part), "`{part}` is missing in {told}");
            }
        }
    }
}
