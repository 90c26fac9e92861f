//! Which register holds what.

use std::time::Duration;

use rmodbus::ModbusProto;
use rmodbus::client::ModbusRequest;
use serde::Deserialize;

use crate::question::Question;
use crate::text::quantity::{Field, Quantity};
use crate::text::unit::Dimension;
use crate::told::{NumberKind, ToldError, ToldField, all_usable};

/// Registers read at once at most: their answer takes a tenth of a second at 9600 baud.
const MOST_REGISTERS: usize = 60;

/// An answer takes this long at most: a tenth of a second on the line at 9600
/// baud, and the board's own time, for which makers tell up to 200 ms (common
/// practice, no source).
const ANSWER_WITHIN: Duration = Duration::from_millis(300);

/// Asked so often where nobody says otherwise: as often as a short answer fits at 9600 baud.
const USUAL_RATE_HZ: f64 = 20.0;
const RATES_HZ: [f64; 2] = [0.5, 200.0];

/// Addresses of single devices (Modbus over serial line, V1.02, §2.2, from memory).
const ADDRESSES: [u8; 2] = [1, 247];

/// What the registers of a board hold, and how they are asked for.
///
/// In a configuration it is a table: the board's `address`, the `function` (3 for
/// holding, 4 for input registers), and one entry a number in `fields`:
/// `{ quantity = "pitch", register = 2, type = "i16", unit = "deg", scale = 0.01 }`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Written")]
pub struct RegisterMap {
    pub(super) address: u8,
    pub(super) function: Function,
    pub(super) first: u16,
    pub(super) count: u16,
    pub(super) places: Vec<Place>,
    every: Duration,
}

/// One number that is used.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    /// Bytes before it in the data of an answer.
    pub(super) at: usize,
    pub(super) kind: NumberKind,
    pub(super) low_first: bool,
    pub(super) quantity: Quantity,
    pub(super) field: Field,
    /// What stands there when the board has no value.
    pub(super) invalid: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Function {
    Holding,
    Input,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Words {
    #[default]
    HighFirst,
    LowFirst,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    address: u8,
    function: u8,
    first: Option<u16>,
    #[serde(rename = "type")]
    kind: Option<NumberKind>,
    #[serde(default)]
    words: Words,
    invalid: Option<f64>,
    rate_hz: Option<f64>,
    fields: Vec<Described>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Described {
    quantity: String,
    register: u16,
    #[serde(rename = "type")]
    kind: Option<NumberKind>,
    words: Option<Words>,
    unit: Option<String>,
    scale: Option<f64>,
    invalid: Option<f64>,
}

/// A number within bounds, or which one is not.
fn within(key: &'static str, found: f64, [least, most]: [f64; 2]) -> Result<(), ToldError> {
    if (least..=most).contains(&found) {
        return Ok(());
    }
    Err(ToldError::OutOfRange {
        key,
        found,
        least,
        most,
    })
}

impl TryFrom<Written> for RegisterMap {
    type Error = ToldError;

    fn try_from(written: Written) -> Result<Self, ToldError> {
        within(
            "address",
            f64::from(written.address),
            ADDRESSES.map(f64::from),
        )?;
        within("function", f64::from(written.function), [3.0, 4.0])?;
        let rate_hz = written.rate_hz.unwrap_or(USUAL_RATE_HZ);
        within("rate_hz", rate_hz, RATES_HZ)?;
        let lowest = written.fields.iter().map(|field| field.register).min();
        let first = written.first.or(lowest).ok_or(ToldError::NothingUsable)?;
        let mut places = Vec::new();
        let mut numbers = Vec::new();
        let mut registers = 0;
        for (index, described) in written.fields.iter().enumerate() {
            let entry = index + 1;
            let (quantity, field) = ToldField {
                quantity: &described.quantity,
                unit: described.unit.as_deref(),
                scale: described.scale,
            }
            .read(entry)?;
            let kind = described
                .kind
                .or(written.kind)
                .ok_or(ToldError::NoType { entry })?;
            if kind.len() < 2 {
                return Err(ToldError::HalfRegister { entry });
            }
            let before = described.register.checked_sub(first).map(usize::from);
            let before = before.ok_or(ToldError::OutOfRange {
                key: "first",
                found: f64::from(first),
                least: 0.0,
                most: f64::from(described.register),
            })?;
            registers = registers.max(before + kind.len() / 2);
            places.push(Place {
                at: 2 * before,
                kind,
                low_first: described.words.unwrap_or(written.words) == Words::LowFirst,
                quantity,
                field,
                invalid: described.invalid.or(written.invalid),
            });
            numbers.push((entry, quantity));
        }
        all_usable(numbers)?;
        let count = u16::try_from(registers)
            .ok()
            .filter(|_| registers <= MOST_REGISTERS);
        let count = count.ok_or(ToldError::TooLong {
            found: 2 * registers,
            limit: 2 * MOST_REGISTERS,
        })?;
        Ok(Self {
            address: written.address,
            function: if written.function == 3 {
                Function::Holding
            } else {
                Function::Input
            },
            first,
            count,
            places,
            every: Duration::from_secs_f64(1.0 / rate_hz),
        })
    }
}

impl RegisterMap {
    /// The request for all the registers, and its bytes.
    pub(super) fn request(&self) -> (ModbusRequest, Vec<u8>) {
        let mut request = ModbusRequest::new(self.address, ModbusProto::Rtu);
        let mut bytes: Vec<u8> = Vec::new();
        let made = match self.function {
            Function::Holding => request.generate_get_holdings(self.first, self.count, &mut bytes),
            Function::Input => request.generate_get_inputs(self.first, self.count, &mut bytes),
        };
        debug_assert!(made.is_ok(), "a vector takes eight bytes");
        (request, bytes)
    }

    /// Is roll or pitch among the fields?
    pub(crate) fn carries_angles(&self) -> bool {
        let is_angle = |place: &Place| place.field.unit.dimension() == Dimension::Angle;
        self.places.iter().any(is_angle)
    }

    /// The question to be asked.
    pub(crate) fn question(&self) -> Question {
        Question {
            bytes: self.request().1,
            every: self.every,
            answer_within: ANSWER_WITHIN,
        }
    }
}
