//! What a board offers over the air.

use std::time::Duration;

use crate::board::{Gatt, LinkSpec};
use crate::car::Mount;

/// A characteristic: its UUID and what can be done with it, in BlueZ's words.
pub(super) struct Characteristic {
    pub(super) uuid: &'static str,
    pub(super) flags: &'static [&'static str],
    pub(super) gives: Gives,
}

/// What a characteristic gives to who reads it or asks to be notified.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Gives {
    Readings,
    Nothing,
    Battery,
    Text(&'static str),
}

pub(super) struct Service {
    pub(super) uuid: &'static str,
    pub(super) characteristics: &'static [Characteristic],
}

impl Gatt {
    /// The service that gives readings: its UUID, and the characteristic that notifies.
    pub fn uuids(self) -> (&'static str, &'static str) {
        let service = self.service();
        (service.uuid, service.characteristics[0].uuid)
    }

    fn service(self) -> &'static Service {
        match self {
            Self::NordicUart => &NORDIC_UART,
            Self::Ahrs => &AHRS,
            Self::Custom => &CUSTOM,
        }
    }

    /// Everything a board with this service offers, in the order of its handles.
    pub(super) fn services(self) -> [&'static Service; 3] {
        [&DEVICE_INFORMATION, &BATTERY, self.service()]
    }
}

const fn notifying(uuid: &'static str) -> Characteristic {
    Characteristic {
        uuid,
        flags: &["notify"],
        gives: Gives::Readings,
    }
}

const fn writable(uuid: &'static str) -> Characteristic {
    Characteristic {
        uuid,
        flags: &["write-without-response", "write"],
        gives: Gives::Nothing,
    }
}

const fn text(uuid: &'static str, text: &'static str) -> Characteristic {
    Characteristic {
        uuid,
        flags: &["read"],
        gives: Gives::Text(text),
    }
}

// Nordic Semiconductor, nRF5 SDK, "Nordic UART Service".
static NORDIC_UART: Service = Service {
    uuid: "6e400001-b5a3-f393-e0a9-e50e24dcca9e",
    characteristics: &[
        notifying("6e400003-b5a3-f393-e0a9-e50e24dcca9e"),
        writable("6e400002-b5a3-f393-e0a9-e50e24dcca9e"),
    ],
};

// The makers' own Python SDK for these boards; the base is not that of the Bluetooth SIG.
static AHRS: Service = Service {
    uuid: "0000ffe5-0000-1000-8000-00805f9a34fb",
    characteristics: &[
        notifying("0000ffe4-0000-1000-8000-00805f9a34fb"),
        writable("0000ffe9-0000-1000-8000-00805f9a34fb"),
    ],
};

// Invented.
static CUSTOM: Service = Service {
    uuid: "7b1c0001-52f6-4d0e-9a3f-8c5e6a2d4f10",
    characteristics: &[notifying("7b1c0002-52f6-4d0e-9a3f-8c5e6a2d4f10")],
};

// Bluetooth SIG, Assigned Numbers: 0x180F with 0x2A19, 0x180A with 0x2A29 and 0x2A24.
static BATTERY: Service = Service {
    uuid: "0000180f-0000-1000-8000-00805f9b34fb",
    characteristics: &[Characteristic {
        uuid: "00002a19-0000-1000-8000-00805f9b34fb",
        flags: &["read", "notify"],
        gives: Gives::Battery,
    }],
};

static DEVICE_INFORMATION: Service = Service {
    uuid: "0000180a-0000-1000-8000-00805f9b34fb",
    characteristics: &[
        text("00002a29-0000-1000-8000-00805f9b34fb", MAKER),
        text("00002a24-0000-1000-8000-00805f9b34fb", MODEL),
    ],
};

/// Who made the simulated boards, as their device information says.
pub const MAKER: &str = "Simulated";
/// Their model.
pub const MODEL: &str = "Hub board";

/// How a board's radio cuts and times what it says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Radio {
    /// Most bytes of a notification: the MTU less a header of 3. With no MTU agreed
    /// upon it is 20 (Bluetooth Core, volume 3, part F, section 3.4.7.1).
    pub payload_bytes: usize,
    /// What was said since the last connection event goes out at the next.
    pub interval: Duration,
    /// So many notifications go out at one event at most.
    pub at_once: usize,
    /// Does a notification carry the end of one reading and the beginning of the next?
    /// Else each reading begins a notification.
    pub merges: bool,
    /// Notifications that the board could not send and dropped, percent.
    pub loss_percent: f64,
}

impl Default for Radio {
    fn default() -> Self {
        Self {
            payload_bytes: 20,
            interval: Duration::from_millis(40),
            at_once: 6,
            merges: false,
            loss_percent: 0.0,
        }
    }
}

/// A board as it is seen from afar.
#[derive(Debug, Clone, PartialEq)]
pub struct Peripheral {
    /// The name it advertises.
    pub name: String,
    /// Its address, `AA:BB:CC:DD:EE:FF`.
    pub address: String,
    /// What it offers.
    pub gatt: Gatt,
    /// How it sends.
    pub radio: Radio,
    /// Seed of what it loses.
    pub seed: u64,
}

/// Makes the draws of each board's radio its own.
fn place(mount: Mount) -> u8 {
    match mount {
        Mount::FrontLeft => 1,
        Mount::FrontRight => 2,
        Mount::RearLeft => 3,
        Mount::RearRight => 4,
        Mount::Body => 5,
    }
}

impl Peripheral {
    /// The board of a scenario on a mount.
    pub(in crate::wire) fn of(mount: Mount, spec: &LinkSpec, seed: u64) -> Self {
        let usual = Radio::default();
        let place = place(mount);
        Self {
            name: format!("hub {mount}"),
            // The first two bits set: a random static address, as most boards have
            // (Bluetooth Core, volume 6, part B, section 1.3.2.1).
            address: format!("C0:FF:EE:00:00:{place:02X}"),
            gatt: spec.gatt,
            radio: Radio {
                payload_bytes: spec.payload_bytes.map_or(usual.payload_bytes, usize::from),
                interval: if spec.burst_ms > 0.0 {
                    Duration::from_secs_f64(spec.burst_ms * 1e-3)
                } else {
                    usual.interval
                },
                loss_percent: spec.loss_percent,
                ..usual
            },
            seed: seed ^ (u64::from(place) << 56),
        }
    }
}
