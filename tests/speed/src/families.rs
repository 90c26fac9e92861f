//! Streams of bytes as boards of every format send them.

use hubplumb_protocol::{
    Encoder, FrameReader, Packing, Reading, ScanElement, ScanLayout, WireFormat,
};

/// Is it made of text?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Lines or sentences.
    Text,
    /// Bytes and words.
    Binary,
}

/// A family of formats, by one board of it.
#[derive(Debug, Clone)]
pub struct Family {
    /// Name of the format.
    pub name: &'static str,
    /// Text or binary.
    pub kind: Kind,
    /// The format as it is told.
    pub format: WireFormat,
    /// How its link cuts.
    pub packing: Packing,
}

/// What a board sent, cut into the reads of a line.
#[derive(Debug, Clone)]
pub struct Stream {
    /// One read each.
    pub reads: Vec<Vec<u8>>,
    /// Samples in all of them.
    pub samples: usize,
    /// Between two samples, µs.
    pub period_us: i64,
    /// Samples in a read.
    pub per_read: usize,
}

/// Formats that are told by a table, as in a configuration.
const TOLD: [(&str, Kind, Packing, &str); 3] = [
    (
        "values",
        Kind::Binary,
        Packing::Pieces,
        "format = 'values'\n[values]\ntype = 'f32'\nfields = ['ax', 'ay', 'az', 'gx', 'gy', 'gz']",
    ),
    (
        "modbus",
        Kind::Binary,
        Packing::Stream,
        "format = 'modbus'\n[registers]\naddress = 80\nfunction = 3\ntype = 'i16'\nfields = [\n\
         {quantity='ax',register=52,unit='g',scale=0.00048828125},\n\
         {quantity='ay',register=53,unit='g',scale=0.00048828125},\n\
         {quantity='az',register=54,unit='g',scale=0.00048828125},\n\
         {quantity='gx',register=55,unit='dps',scale=0.06103515625},\n\
         {quantity='gy',register=56,unit='dps',scale=0.06103515625},\n\
         {quantity='gz',register=57,unit='dps',scale=0.06103515625}]",
    ),
    (
        "nmea",
        Kind::Text,
        Packing::Stream,
        "format = 'nmea'\n[sentences.ids]\nACCX = 'ax'\nACCY = 'ay'\nACCZ = 'az'",
    ),
];

/// Formats that are known by their name.
const NAMED: [(&str, Kind); 10] = [
    ("csv", Kind::Text),
    ("labelled", Kind::Text),
    ("json-lines", Kind::Text),
    ("ahrs55", Kind::Binary),
    ("ahrs55-radio", Kind::Binary),
    ("rvc", Kind::Binary),
    ("xbus", Kind::Binary),
    ("mavlink", Kind::Binary),
    ("compact", Kind::Binary),
    ("bno055", Kind::Binary),
];

/// Every family.
///
/// # Panics
/// When a format is not known by its name any more.
#[expect(
    clippy::expect_used,
    reason = "a name that went is to stop the measuring"
)]
pub fn all() -> Vec<Family> {
    let named = NAMED.map(|(name, kind)| Family {
        name,
        kind,
        format: WireFormat::from_name(name, None).expect("a known name"),
        packing: Packing::Stream,
    });
    let told = TOLD.map(|(name, kind, packing, table)| Family {
        name,
        kind,
        format: toml::from_str(table).expect("a table as in docs/formats"),
        packing,
    });
    let mut all: Vec<Family> = named.into_iter().chain(told).collect();
    all.push(Family {
        name: "iio-scan",
        kind: Kind::Binary,
        format: WireFormat::IioScan(scan_layout()),
        packing: Packing::Stream,
    });
    all
}

/// The family of a name.
pub fn named(name: &str) -> Option<Family> {
    all().into_iter().find(|family| family.name == name)
}

/// Six channels of 16 bits and a clock, as the kernel's driver of a common chip lays them out.
#[expect(clippy::expect_used, reason = "the layout is a constant of this file")]
fn scan_layout() -> ScanLayout {
    let channels = [
        ("in_accel_x", 0.000_598),
        ("in_accel_y", 0.000_598),
        ("in_accel_z", 0.000_598),
        ("in_anglvel_x", 0.000_153),
        ("in_anglvel_y", 0.000_153),
        ("in_anglvel_z", 0.000_153),
    ];
    let mut elements: Vec<ScanElement> = (0..)
        .zip(channels)
        .map(|(index, (channel, scale))| ScanElement {
            channel: channel.to_owned(),
            index,
            kind: "le:s16/16>>0".to_owned(),
            scale,
            offset: 0.0,
        })
        .collect();
    elements.push(ScanElement {
        channel: "in_timestamp".to_owned(),
        index: 6,
        kind: "le:s64/64>>0".to_owned(),
        scale: 1.0,
        offset: 0.0,
    });
    ScanLayout::parse(&elements).expect("a sound layout")
}

/// What a board says that rests eight seconds of ten and is turned to and fro in the others, with
/// the noise of a cheap chip; the same every time.
pub fn reading(number: usize, period_us: i64) -> Reading {
    let at_us = i64::try_from(number).unwrap_or(i64::MAX) * period_us;
    let at_s = at_us as f64 * 1e-6;
    let within_s = at_s % 10.0;
    let turn = std::f64::consts::PI;
    let (lean_rad, rate_radps) = if within_s < 8.0 {
        (0.03, 0.0)
    } else {
        let (sin, cos) = (turn * (within_s - 8.0)).sin_cos();
        (0.03 + 0.1 * sin, 0.1 * turn * cos)
    };
    let mut seed = (number as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let mut noise = || {
        seed ^= seed >> 30;
        seed = seed.wrapping_mul(0xBF58_476D_1CE4_E5B9);
        seed ^= seed >> 27;
        (seed >> 40) as f64 / f64::from(1 << 23) - 1.0
    };
    let (sin, cos) = lean_rad.sin_cos();
    Reading {
        device_time_us: Some(at_us as f64),
        sequence: u32::try_from(number % (1 << 16)).ok(),
        accel_g: Some([
            0.004 * noise(),
            sin + 0.004 * noise(),
            cos + 0.004 * noise(),
        ]),
        rate_radps: Some([
            rate_radps + 0.01 + 0.002 * noise(),
            0.002 * noise(),
            0.002 * noise(),
        ]),
        attitude_rad: Some([lean_rad + 1e-4 * noise(), 1e-4 * noise(), 0.3]),
        tilt_rad: None,
        temperature_c: Some(24.6),
    }
}

impl Family {
    /// So many samples at a rate, `per_read` of them with each read of the line.
    pub fn stream(&self, samples: usize, rate_hz: i64, per_read: usize) -> Stream {
        let encoder = Encoder::new(&self.format);
        let period_us = 1_000_000 / rate_hz;
        let mut reads = Vec::with_capacity(samples / per_read + 1);
        let mut bytes = Vec::new();
        encoder.preamble(&mut bytes);
        for number in 0..samples {
            encoder.encode(&reading(number, period_us), &mut bytes);
            if (number + 1) % per_read == 0 || number + 1 == samples {
                reads.push(std::mem::take(&mut bytes));
            }
        }
        Stream {
            reads,
            samples,
            period_us,
            per_read,
        }
    }

    /// A reader of it.
    pub fn reader(&self) -> FrameReader {
        FrameReader::new(&self.format)
    }
}
