//! What has to hold for any bytes. A breach is a panic, which the fuzzer keeps.

use hubplumb_protocol::detect::Detector;
use hubplumb_protocol::{
    BUFFER_BYTES, ColumnMap, Encoder, Frame, FrameReader, Packing, Reading, WireFormat,
};

/// Bytes that may wait for more once everything that can be taken was taken:
/// the longest frame any head may promise, and a run of skipped bytes.
const MOST_PENDING: usize = 4096;

/// Good frames behind garbage, and how many the worst garbage may cost: the
/// frame it runs into, and what it made a decoder believe of the next.
const GOOD_FRAMES: u8 = 5;
const MOST_LOST: usize = 2;

/// The formats of a name: as it is, and for text with columns given.
pub fn formats(name: &str) -> Vec<WireFormat> {
    let with_columns = WireFormat::from_name(name, Some(ColumnMap::canonical()));
    let without = WireFormat::from_name(name, None);
    [without, with_columns].into_iter().flatten().collect()
}

/// Takes a choice from the front of the data.
fn choose<'a, T>(data: &[u8], choices: &'a [T]) -> &'a T {
    let first = data.first().copied().unwrap_or_default();
    &choices[usize::from(first) % choices.len()]
}

/// Cuts the data at lengths that its own first bytes give.
fn pieces(data: &[u8]) -> Vec<&[u8]> {
    let (lengths, mut rest) = data.split_at(data.len().min(4));
    let mut pieces = Vec::new();
    for length in lengths.iter().cycle() {
        let (piece, after) = rest.split_at(rest.len().min(usize::from(*length) + 1));
        pieces.push(piece);
        rest = after;
        if rest.is_empty() {
            break;
        }
    }
    pieces
}

/// Follows a reader and holds it to account.
struct Watched {
    reader: FrameReader,
    pushed: u64,
    end: u64,
    given_up: u64,
    frames: Vec<Frame>,
}

impl Watched {
    fn new(format: &WireFormat) -> Self {
        Self {
            reader: FrameReader::new(format),
            pushed: 0,
            end: 0,
            given_up: 0,
            frames: Vec::new(),
        }
    }

    fn push(&mut self, piece: &[u8], packing: Packing) {
        self.pushed += piece.len() as u64;
        self.reader.push_piece(piece, packing);
        assert!(self.reader.pending_bytes() <= BUFFER_BYTES);
        while let Some(frame) = self.reader.next() {
            self.judge(&frame);
            self.frames.push(frame);
            // A frame that ends one reading and completes another gives two, never more.
            assert!(self.frames.len() as u64 <= 2 * self.pushed + 2, "it does not end");
        }
        assert!(self.reader.pending_bytes() <= MOST_PENDING);
        let counts = self.reader.counts();
        assert_eq!(counts.good + counts.bad_total(), self.frames.len() as u64);
        assert!(self.given_up + self.reader.pending_bytes() as u64 <= self.pushed);
    }

    fn judge(&mut self, frame: &Frame) {
        match frame {
            Frame::Bad(bad) => {
                assert!(bad.offset >= self.end, "{bad:?} begins before {}", self.end);
                self.end = bad.offset + bad.len as u64;
                self.given_up += bad.len as u64;
                assert!(self.end <= self.pushed, "{bad:?} ends behind {}", self.pushed);
            }
            Frame::Reading(reading) => {
                let triples = [reading.accel_g, reading.rate_radps, reading.attitude_rad];
                assert!(triples.iter().any(Option::is_some), "{reading:?}");
                let numbers = triples.into_iter().flatten().flatten();
                let mut numbers = numbers
                    .chain(reading.device_time_us)
                    .chain(reading.temperature_c);
                assert!(numbers.all(f64::is_finite), "{reading:?}");
            }
        }
    }
}

/// Any bytes, cut anyhow, for one format.
pub fn decode(name: &str, data: &[u8]) {
    let formats = formats(name);
    assert!(!formats.is_empty(), "there is no format `{name}`");
    let format = choose(data, &formats);
    let packing = choose(
        data.get(1..).unwrap_or_default(),
        &[Packing::Stream, Packing::Pieces, Packing::Messages],
    );
    let data = data.get(2..).unwrap_or_default();
    let mut cut = Watched::new(format);
    for piece in pieces(data) {
        cut.push(piece, *packing);
    }
    if *packing == Packing::Stream {
        let mut whole = Watched::new(format);
        whole.push(data.get(4.min(data.len())..).unwrap_or_default(), *packing);
        assert_eq!(whole.frames, cut.frames, "it matters where the link cuts");
    }
}

/// Any bytes, cut anyhow, for the detector.
pub fn detect(data: &[u8]) {
    let mut cut = Detector::new();
    for piece in pieces(data) {
        cut.observe(piece);
    }
    let mut whole = Detector::new();
    whole.observe(data.get(4.min(data.len())..).unwrap_or_default());
    assert_eq!(whole.verdict(), cut.verdict());
    assert_eq!(whole.silence(), cut.silence());
    assert_eq!(whole.verdict().is_none(), whole.silence().is_some());
}

/// A reading that is told from its neighbours by its acceleration along x.
fn numbered(number: u8) -> Reading {
    Reading {
        device_time_us: Some(5e6 + 1e4 * f64::from(number)),
        sequence: Some(number.into()),
        accel_g: Some([f64::from(number) / 8.0, 0.0, 1.0]),
        rate_radps: Some([0.25, -0.25, 0.125]),
        attitude_rad: Some([0.1, -0.2, 0.3]),
        temperature_c: Some(24.5),
    }
}

/// The stream of a board that starts, sends its good frames and goes on.
pub fn good_stream(format: &WireFormat) -> Vec<u8> {
    let encoder = Encoder::new(format);
    // Lines begin after the end of a line.
    let mut bytes = if format.columns().is_some() {
        b"\r\n".to_vec()
    } else {
        Vec::new()
    };
    encoder.preamble(&mut bytes);
    for number in 0..GOOD_FRAMES {
        encoder.encode(&numbered(number), &mut bytes);
    }
    let enough = bytes.len() + MOST_PENDING;
    while bytes.len() < enough {
        encoder.encode(&numbered(GOOD_FRAMES), &mut bytes);
    }
    bytes
}

/// Good frames behind any bytes, for any format.
pub fn behind_garbage(data: &[u8]) {
    let name = choose(data, &WireFormat::NAMES);
    let Some(format) = formats(name).pop() else {
        return;
    };
    let garbage = data.get(1..).unwrap_or_default();
    let mut watched = Watched::new(&format);
    watched.push(garbage, Packing::Stream);
    let before = watched.frames.len();
    watched.push(&good_stream(&format), Packing::Stream);
    let found: Vec<f64> = watched.frames[before..]
        .iter()
        .filter_map(|frame| match frame {
            Frame::Reading(reading) => Some(reading.accel_g?[0] * 8.0),
            Frame::Bad(_) => None,
        })
        .collect();
    let missing = (0..GOOD_FRAMES)
        .filter(|number| {
            let is_it = |found: &f64| (found - f64::from(*number)).abs() < 0.05;
            !found.iter().any(is_it)
        })
        .count();
    assert!(missing <= MOST_LOST, "{name}: {missing} lost, {found:?}");
}
