//! At which addresses the page can be opened from another machine.

use std::net::{IpAddr, SocketAddr};

/// Most addresses that are told: a machine with more has networks that no tablet is on.
pub(crate) const MOST_ADDRESSES: usize = 8;

/// Beginnings of the names of network cards that exist in software only; a tablet is hardly behind one.
const IN_SOFTWARE: [&str; 7] = ["br-", "docker", "tap", "tun", "veth", "virbr", "wg"];

/// An address of this machine, and the network card that has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Found {
    pub(crate) card: String,
    pub(crate) address: IpAddr,
}

/// All addresses that this machine has now.
pub(crate) fn found() -> Vec<Found> {
    let cards = if_addrs::get_if_addrs().unwrap_or_else(|error| {
        tracing::warn!(%error, "the addresses of this machine cannot be told");
        Vec::new()
    });
    cards
        .into_iter()
        .filter(if_addrs::Interface::is_oper_up)
        .map(|card| Found {
            address: card.ip(),
            card: card.name,
        })
        .collect()
}

/// Is it only this machine that can open the page?
pub(crate) fn is_this_machine_only(listen: SocketAddr) -> bool {
    listen.ip().to_canonical().is_loopback()
}

/// The addresses under which the page can be opened, the likeliest for a tablet first.
pub(crate) fn reachable(listen: SocketAddr, found: &[Found]) -> Vec<IpAddr> {
    let listened = listen.ip();
    if !listened.is_unspecified() {
        return vec![listened.to_canonical()];
    }
    let mut ranked: Vec<(u8, IpAddr)> = found
        .iter()
        .filter(|found| listened.is_ipv6() || found.address.is_ipv4())
        .filter(|found| can_be_typed(found.address))
        .map(|found| (rank(found), found.address))
        .collect();
    ranked.sort();
    ranked.dedup();
    ranked
        .into_iter()
        .map(|(_, address)| address)
        .take(MOST_ADDRESSES)
        .collect()
}

/// A browser takes no address that is good on one card only, and this machine's own lead a tablet to itself.
fn can_be_typed(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => !address.is_loopback() && !address.is_unspecified(),
        IpAddr::V6(address) => {
            !address.is_loopback()
                && !address.is_unspecified()
                && !address.is_unicast_link_local()
                && !address.is_multicast()
        }
    }
}

fn rank(found: &Found) -> u8 {
    let in_software = IN_SOFTWARE
        .iter()
        .any(|beginning| found.card.starts_with(beginning));
    let by_kind = match found.address {
        IpAddr::V4(address) if address.is_private() => 0,
        // What a card gives itself where nobody hands addresses out: two machines on one cable.
        IpAddr::V4(address) if address.is_link_local() => 2,
        IpAddr::V4(_) => 1,
        IpAddr::V6(_) => 3,
    };
    by_kind + if in_software { 4 } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cards(cards: &[(&str, &str)]) -> Vec<Found> {
        cards
            .iter()
            .map(|(card, address)| Found {
                card: (*card).to_owned(),
                address: address.parse().unwrap(),
            })
            .collect()
    }

    fn reached(listen: &str, found: &[(&str, &str)]) -> Vec<String> {
        reachable(listen.parse().unwrap(), &cards(found))
            .iter()
            .map(ToString::to_string)
            .collect()
    }

    const GARAGE: [(&str, &str); 8] = [
        ("lo", "127.0.0.1"),
        ("lo", "::1"),
        ("docker0", "172.17.0.1"),
        ("eth0", "169.254.7.7"),
        ("wlan0", "192.168.4.20"),
        ("wlan0", "fe80::1"),
        ("wlan0", "fd00::20"),
        ("wlan0", "203.0.113.9"),
    ];

    #[test]
    fn the_likeliest_for_a_tablet_comes_first() {
        let four = ["192.168.4.20", "203.0.113.9", "169.254.7.7", "172.17.0.1"];
        assert_eq!(reached("0.0.0.0:8710", &GARAGE), four);
        let both = [
            "192.168.4.20",
            "203.0.113.9",
            "169.254.7.7",
            "fd00::20",
            "172.17.0.1",
        ];
        assert_eq!(reached("[::]:8710", &GARAGE), both);
    }

    #[test]
    fn an_address_that_was_chosen_is_the_only_one() {
        assert_eq!(reached("127.0.0.1:1", &GARAGE), ["127.0.0.1"]);
        assert_eq!(reached("192.168.4.20:1", &GARAGE), ["192.168.4.20"]);
        assert_eq!(reached("[::ffff:10.0.0.1]:1", &GARAGE), ["10.0.0.1"]);
    }

    #[test]
    fn a_machine_without_network_has_none_and_one_with_many_not_all() {
        assert!(reached("0.0.0.0:1", &GARAGE[..2]).is_empty());
        let many: Vec<(String, String)> = (0..20)
            .map(|nth| (format!("eth{nth}"), format!("10.0.0.{nth}")))
            .collect();
        let many: Vec<(&str, &str)> = many.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        assert_eq!(reached("0.0.0.0:1", &many).len(), MOST_ADDRESSES);
    }

    #[test]
    fn loopback_is_this_machine_only() {
        for (listen, only) in [
            ("127.0.0.1:1", true),
            ("127.0.0.9:1", true),
            ("[::1]:1", true),
            ("[::ffff:127.0.0.1]:1", true),
            ("0.0.0.0:1", false),
            ("[::]:1", false),
            ("192.168.4.20:1", false),
        ] {
            assert_eq!(
                is_this_machine_only(listen.parse().unwrap()),
                only,
                "{listen}"
            );
        }
    }
}
