//! Which of a board's characteristics its readings come by.

use uuid::Uuid;

use super::address::sig;

/// A characteristic that a board offers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Offered {
    /// Its service.
    pub service: Uuid,
    /// Itself.
    pub characteristic: Uuid,
    /// Does it notify or indicate?
    pub notifies: bool,
    /// Can it be read?
    pub reads: bool,
}

/// Why it was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// It was told.
    Told,
    /// It belongs to a service that is known to carry a stream of bytes.
    KnownService,
    /// It is the only one.
    Only,
}

/// Services that carry a board's bytes, the surest first: Nordic UART, the
/// 0x55 family's, HM-10, Microchip's, `RedBear`'s (sources in docs/BLUETOOTH.md).
/// Names of their two characteristics change sides between makers, so the one
/// that notifies is taken, whichever it is.
const BYTE_SERVICES: [(Uuid, &str); 5] = [
    (
        Uuid::from_u128(0x6e40_0001_b5a3_f393_e0a9_e50e_24dc_ca9e),
        "Nordic UART",
    ),
    (
        Uuid::from_u128(0x0000_ffe5_0000_1000_8000_0080_5f9a_34fb),
        "the 0x55 family's",
    ),
    (sig(0xffe0), "HM-10"),
    (
        Uuid::from_u128(0x4953_5343_fe7d_4ae5_8fa9_9faf_d205_e455),
        "Microchip's",
    ),
    (
        Uuid::from_u128(0x713d_0000_503e_4c75_ba94_3148_f18d_941e),
        "RedBear's",
    ),
];

/// Services of the standard's list that never carry readings: access, attribute, battery, device information.
const HOUSEKEEPING: [Uuid; 4] = [sig(0x1800), sig(0x1801), sig(0x180f), sig(0x180a)];

/// The service among `services` that is known to carry a board's bytes, by its name.
pub fn known_service(services: &[Uuid]) -> Option<&'static str> {
    BYTE_SERVICES
        .iter()
        .find(|(service, _)| services.contains(service))
        .map(|(_, name)| *name)
}

/// The characteristic that the readings come by, and why it; none when there
/// is none, or more than one and nothing tells which.
pub fn choose(offered: &[Offered], told: Option<Uuid>) -> Option<(Offered, Choice)> {
    let notifying = || offered.iter().copied().filter(|offered| offered.notifies);
    if let Some(told) = told {
        return notifying()
            .find(|offered| offered.characteristic == told)
            .map(|offered| (offered, Choice::Told));
    }
    let of_known = BYTE_SERVICES
        .iter()
        .find_map(|(service, _)| notifying().find(|offered| offered.service == *service));
    if let Some(offered) = of_known {
        return Some((offered, Choice::KnownService));
    }
    let mut others = notifying().filter(|offered| !HOUSEKEEPING.contains(&offered.service));
    match (others.next(), others.next()) {
        (Some(only), None) => Some((only, Choice::Only)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NUS: u128 = 0x6e40_0001_b5a3_f393_e0a9_e50e_24dc_ca9e;

    fn offered(service: Uuid, characteristic: Uuid, notifies: bool) -> Offered {
        Offered {
            service,
            characteristic,
            notifies,
            reads: false,
        }
    }

    /// One of the Nordic pair, by the last digit of its first part.
    fn nordic(number: u128, notifies: bool) -> Offered {
        let service = Uuid::from_u128(NUS);
        offered(service, Uuid::from_u128(NUS + (number << 96)), notifies)
    }

    #[test]
    fn the_one_that_notifies_is_chosen_by_what_is_known_of_it() {
        let battery = offered(sig(0x180f), sig(0x2a19), true);
        let own = |number: u16| offered(sig(0xf00d), sig(number), true);
        let hm10 = offered(sig(0xffe0), sig(0xffe1), true);
        let family = offered(
            Uuid::from_u128(0x0000_ffe5_0000_1000_8000_0080_5f9a_34fb),
            Uuid::from_u128(0x0000_ffe4_0000_1000_8000_0080_5f9a_34fb),
            true,
        );
        let check = |of: &[Offered], told: Option<Uuid>, expected: Option<(Offered, Choice)>| {
            assert_eq!(choose(of, told), expected, "{of:#?}");
        };
        let known = |offered| Some((offered, Choice::KnownService));
        // By its property, not by its number.
        check(
            &[nordic(1, false), nordic(2, true)],
            None,
            known(nordic(2, true)),
        );
        check(
            &[nordic(1, true), nordic(2, false)],
            None,
            known(nordic(1, true)),
        );
        check(&[battery, family], None, known(family));
        check(
            &[hm10, nordic(2, true), own(1)],
            None,
            known(nordic(2, true)),
        );
        // The base of the standard's list is another than the family's.
        let look_alike = offered(sig(0xffe5), sig(0xffe4), true);
        check(
            &[battery, look_alike],
            None,
            Some((look_alike, Choice::Only)),
        );
        check(&[battery, own(1)], None, Some((own(1), Choice::Only)));
        check(&[own(1), own(2)], None, None);
        check(&[battery], None, None);
        check(&[], None, None);
        check(
            &[own(1), own(2)],
            Some(sig(2)),
            Some((own(2), Choice::Told)),
        );
        check(&[nordic(2, true)], Some(sig(2)), None);
        // Told, and it does not notify.
        check(&[offered(sig(1), sig(2), false)], Some(sig(2)), None);
    }
}
