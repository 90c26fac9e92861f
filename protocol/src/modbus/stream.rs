//! Answers out of a stream of bytes, and answers to questions.

use crc::{CRC_16_MODBUS, Crc, Table};
use rmodbus::ErrorKind;
use rmodbus::ModbusProto;
use rmodbus::client::ModbusRequest;
use rmodbus::server::ModbusFrame;

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Step};
use crate::reading::Reading;
use crate::text::quantity::{Draft, value_of};
use crate::told::NumberKind;

use super::registers::RegisterMap;

/// Address, function, code, sum.
const EXCEPTION_BYTES: usize = 5;
/// Address, function and number of bytes before the data, the sum behind them.
const AROUND_DATA: usize = 5;

/// By sixteen bytes at once, which is a whole answer.
static SUM: Crc<u16, Table<16>> = Crc::<u16, Table<16>>::new(&CRC_16_MODBUS);

/// Longest run of skipped bytes told as one.
const MOST_SKIPPED: usize = 64;

/// Answers of one board.
#[derive(Debug)]
pub(crate) struct AnswerStream {
    map: RegisterMap,
    request: ModbusRequest,
    /// The question itself, which many RS-485 adapters give back.
    echo: Vec<u8>,
    /// Bytes at the front that are known to belong to no answer.
    skipped: usize,
}

/// What the bytes at the front are.
enum Front {
    NeedMore,
    Echo,
    Answer,
    Exception(u8),
    Nothing,
}

impl AnswerStream {
    pub(crate) fn new(map: &RegisterMap) -> Self {
        let (request, echo) = map.request();
        Self {
            map: map.clone(),
            request,
            echo,
            skipped: 0,
        }
    }

    fn answer_bytes(&self) -> usize {
        AROUND_DATA + 2 * usize::from(self.map.count)
    }

    /// Judges the front, the shorter frames first, so that it does not matter
    /// how the bytes were cut.
    fn judge(&self, bytes: &[u8]) -> Front {
        let function = self.request.func.byte();
        let data_bytes = u8::try_from(2 * self.map.count).unwrap_or(u8::MAX);
        let exception = [self.map.address, function | 0x80];
        let answer = [self.map.address, function, data_bytes];
        let begins = |head: &[u8]| head.iter().zip(bytes).all(|(head, byte)| head == byte);
        // The question's sum and its count of registers make it differ from an
        // answer within eight bytes; of equal length the answer comes first.
        let mut kinds = [
            (EXCEPTION_BYTES, begins(&exception), Front::Exception(0)),
            (self.answer_bytes(), begins(&answer), Front::Answer),
            (self.echo.len(), begins(&self.echo), Front::Echo),
        ];
        kinds.sort_by_key(|(len, ..)| *len);
        for (len, begins, kind) in kinds {
            if !begins {
                continue;
            }
            let Some(frame) = bytes.get(..len) else {
                return Front::NeedMore;
            };
            match kind {
                Front::Echo => return Front::Echo,
                Front::Answer if has_right_sum(frame) => return Front::Answer,
                Front::Exception(_) if has_right_sum(frame) => {
                    return Front::Exception(frame.get(2).copied().unwrap_or_default());
                }
                _ => {}
            }
        }
        Front::Nothing
    }

    fn reading(&self, frame: &[u8]) -> Result<Reading, BadReason> {
        // Address, function, number of bytes; the data; the sum.
        let data = frame.get(3..frame.len().saturating_sub(2));
        let data = data.unwrap_or_default();
        let mut draft = Draft::default();
        let mut marked = None;
        for place in &self.map.places {
            let stored = data
                .get(place.at..place.at + place.kind.len())
                .unwrap_or_default();
            let mut word = NumberKind::word_of(stored);
            if place.low_first && place.kind.len() == 4 {
                word = word.rotate_left(16);
            }
            let number = place.kind.of_word(word);
            // A marker may be meant as the bits without a sign: 55555 in an i16.
            if place
                .invalid
                .is_some_and(|marker| marker == number || marker == f64::from(word))
            {
                marked.get_or_insert(place.quantity);
                continue;
            }
            draft
                .set(place.quantity, place.field, number)
                .map_err(|_| BadReason::NotANumber {
                    column: place.quantity.name().to_owned(),
                    text: number.to_string(),
                })?;
        }
        draft.finish().ok_or(match marked {
            Some(quantity) => BadReason::MarkedInvalid {
                quantity: quantity.name(),
            },
            None => BadReason::NothingUsable,
        })
    }
}

/// Is the sum right, whatever the frame says? It stands last, low byte first (Modbus over serial line
/// V1.02, 6.2.2).
fn has_right_sum(frame: &[u8]) -> bool {
    frame
        .split_last_chunk::<2>()
        .is_some_and(|(summed, sum)| SUM.checksum(summed) == u16::from_le_bytes(*sum))
}

impl Decode for AnswerStream {
    fn step(&mut self, unread: &[u8]) -> Step {
        loop {
            let here = unread.get(self.skipped..).unwrap_or_default();
            if here.is_empty() {
                return Step::NeedMore;
            }
            let front = self.judge(here);
            match front {
                Front::NeedMore => return Step::NeedMore,
                Front::Nothing => {
                    self.skipped += 1;
                    if self.skipped < MOST_SKIPPED {
                        continue;
                    }
                }
                _ => {}
            }
            if self.skipped > 0 {
                let skipped = std::mem::take(&mut self.skipped);
                return Step::bad(skipped, BadReason::Unsynchronised { skipped });
            }
            return match front {
                Front::Echo => Step::quiet(self.echo.len()),
                Front::Exception(code) => Step::bad(EXCEPTION_BYTES, exception(code)),
                _ => {
                    let len = self.answer_bytes();
                    match self.reading(here.get(..len).unwrap_or_default()) {
                        Ok(reading) => Step::reading(len, Some(reading)),
                        Err(reason) => Step::bad(len, reason),
                    }
                }
            };
        }
    }

    fn lost_place(&mut self) {
        self.skipped = 0;
    }
}

/// What the board says instead of an answer (Modbus application protocol, §7, from memory).
fn exception(code: u8) -> BadReason {
    let why = match ErrorKind::from_modbus_error(code) {
        ErrorKind::IllegalFunction => "it does not know this function",
        ErrorKind::IllegalDataAddress => "it has no such register",
        ErrorKind::IllegalDataValue => "it does not give so many registers at once",
        ErrorKind::SlaveDeviceFailure => "it has failed",
        ErrorKind::Acknowledge | ErrorKind::SlaveDeviceBusy => {
            return BadReason::NotReady { code };
        }
        _ => "it does not say why in a way that is known",
    };
    BadReason::Declined { code, why }
}

/// Appends the answer of a board with this reading. A number that the reading
/// does not hold goes out as the marker of invalid ones, where there is one, or as 0.
pub(crate) fn encode(map: &RegisterMap, reading: &Reading, out: &mut Vec<u8>) {
    let mut data = vec![0_u8; 2 * usize::from(map.count)];
    for place in &map.places {
        let value = value_of(reading, place.quantity).filter(|value| value.is_finite());
        let mut word = match value {
            Some(value) => place.kind.word(place.field.to_wire(value)),
            None => place.kind.marker_word(place.invalid.unwrap_or(0.0)),
        };
        if place.low_first && place.kind.len() == 4 {
            word = word.rotate_left(16);
        }
        let bytes = word.to_be_bytes();
        let bytes = bytes.iter().skip(4 - place.kind.len());
        for (stored, byte) in data.iter_mut().skip(place.at).zip(bytes) {
            *stored = *byte;
        }
    }
    let question = map.question().bytes;
    let mut answer: Vec<u8> = Vec::new();
    if answer_to(map.address, &question, &data, &mut answer).is_ok() {
        out.extend_from_slice(&answer);
    }
}

fn answer_to(
    address: u8,
    question: &[u8],
    data: &[u8],
    answer: &mut Vec<u8>,
) -> Result<(), ErrorKind> {
    let mut frame = ModbusFrame::new(address, question, ModbusProto::Rtu, answer);
    frame.parse()?;
    if let rmodbus::server::Read::Words(words) = frame.get_external_read()? {
        words.buf.copy_from_slice(data);
    }
    frame.process_external_read(Ok(()))?;
    frame.finalize_response()
}
