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
    /// It belongs to a service that is known to carry a stream of bytes, or is
    /// known to be the stream of such a service.
    Known,
    /// It is the only one outside the services of the standard's list.
    OnlyOwn,
    /// It is the only one at all that may carry readings.
    Only,
}

/// The 0x55 family's numbers are on a base of their own, which differs from the
/// standard's in one digit (sources in docs/BLUETOOTH.md).
const fn family(number: u16) -> Uuid {
    Uuid::from_u128(((number as u128) << 96) | 0x0000_0000_0000_1000_8000_0080_5f9a_34fb)
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
    (family(0xffe5), "the 0x55 family's"),
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

/// Characteristics of theirs that are also seen in services of other numbers.
const BYTE_CHARACTERISTICS: [Uuid; 2] = [family(0xffe4), sig(0xffe1)];

/// Services that never carry readings and may stand beside those that do (from
/// memory). Of the standard's list: access, attribute, transmit power, device
/// information, battery. Of makers, for new firmware: Nordic's two, `McuMgr`'s, TI's.
const HOUSEKEEPING: [Uuid; 9] = [
    sig(0x1800),
    sig(0x1801),
    sig(0x1804),
    sig(0x180a),
    sig(0x180f),
    sig(0xfe59),
    Uuid::from_u128(0x0000_1530_1212_efde_1523_785f_eabc_d123),
    Uuid::from_u128(0x8d53_dc1d_1db7_4cd3_868b_8a52_7460_aa84),
    Uuid::from_u128(0xf000_ffc0_0451_4000_b000_0000_0000_0000),
];

/// Is it a service of the standard's own list? They have numbers from 0x1800 on
/// (Bluetooth Assigned Numbers 3.4; from memory); 0xFFE0 and such are not in it.
fn is_standard(service: Uuid) -> bool {
    (0x1800..=0x18ff).any(|number| sig(number) == service)
}

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
    let notifying: Vec<Offered> = offered
        .iter()
        .copied()
        .filter(|offered| offered.notifies)
        .collect();
    let first = |wanted: &dyn Fn(&Offered) -> bool| notifying.iter().copied().find(wanted);
    if let Some(told) = told {
        return first(&|offered| offered.characteristic == told)
            .map(|offered| (offered, Choice::Told));
    }
    let known = BYTE_SERVICES
        .iter()
        .find_map(|(service, _)| first(&|offered| offered.service == *service))
        .or_else(|| {
            BYTE_CHARACTERISTICS
                .iter()
                .find_map(|wanted| first(&|offered| offered.characteristic == *wanted))
        });
    if let Some(offered) = known {
        return Some((offered, Choice::Known));
    }
    let only = |wanted: &dyn Fn(&Offered) -> bool| {
        let mut left = notifying.iter().copied().filter(wanted);
        left.next().filter(|_| left.next().is_none())
    };
    let may_read = |offered: &Offered| !HOUSEKEEPING.contains(&offered.service);
    only(&|offered| may_read(offered) && !is_standard(offered.service))
        .map(|offered| (offered, Choice::OnlyOwn))
        .or_else(|| only(&may_read).map(|offered| (offered, Choice::Only)))
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
        // The sketches of the standard's own number for analog values.
        let analog = offered(sig(0x180c), sig(0x2a58), true);
        let firmware = offered(sig(0xfe59), sig(1), true);
        let moved = offered(sig(0xf00d), sig(0xffe1), true);
        let check = |of: &[Offered], told: Option<Uuid>, expected: Option<(Offered, Choice)>| {
            assert_eq!(choose(of, told), expected, "{of:#?}");
        };
        let known = |offered| Some((offered, Choice::Known));
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
            Some((look_alike, Choice::OnlyOwn)),
        );
        check(&[own(2), moved, own(1)], None, known(moved));
        let only_own = |offered| Some((offered, Choice::OnlyOwn));
        check(&[battery, own(1)], None, only_own(own(1)));
        check(&[battery, firmware, own(1)], None, only_own(own(1)));
        check(&[analog, own(1)], None, only_own(own(1)));
        check(&[battery, analog], None, Some((analog, Choice::Only)));
        check(&[analog, own(1), own(2)], None, None);
        check(&[battery, firmware], None, None);
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
