//! Bytes in, what is shown out.

use hubplumb_core::angle::Angle;
use hubplumb_core::attitude::Stance;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::clock::{CountedClock, DeviceClock, Number};
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::Vec3;
use hubplumb_core::live::{BoardPipeline, LiveWheel, WheelSetup};
use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};
use hubplumb_core::reading::{RawSample, felt_at};
use hubplumb_core::side::Side;
use hubplumb_core::time::HostTime;
use hubplumb_protocol::{Frame, FrameReader, Packing, Reading};

use crate::families::{Family, Stream};

/// Between two looks at what is shown, µs: the daemon's.
const LOOK_US: i64 = 50_000;
/// Between the taking of a reading and its arrival, µs.
const DELAY_US: i64 = 700;

/// One board's way.
#[derive(Debug)]
pub struct Way {
    reader: FrameReader,
    packing: Packing,
    number_bits: Option<u8>,
    clock: DeviceClock,
    counted: CountedClock,
    pipeline: BoardPipeline,
    looked_at: HostTime,
    last_at: HostTime,
}

/// What became of a stream.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Came {
    /// Samples that were calibrated and judged.
    pub samples: usize,
    /// Readings that were rejected.
    pub rejected: usize,
    /// Frames that were bad.
    pub bad: usize,
    /// Looks that showed a camber.
    pub shown: usize,
}

/// A calibration as one of poses leaves it: no entry is nought or one.
///
/// # Panics
/// When no chip can have such numbers any more.
#[expect(clippy::expect_used, reason = "the numbers stand here")]
pub fn calibration() -> Calibration {
    let matrix = [
        [1.002, 0.001, -0.002],
        [0.000_5, 0.998, 0.001],
        [-0.001, 0.002, 1.001],
    ];
    Calibration::from_parts([0.003, -0.004, 0.002], matrix, [0.001, 0.0, -0.001], matrix)
        .expect("numbers of a chip")
}

/// A left wheel with its board's Y outboard and Z up.
///
/// # Panics
/// When axes at right angles make no mounting any more.
#[expect(clippy::expect_used, reason = "the axes are at right angles")]
pub fn wheel(chip: ChipFigures) -> WheelSetup {
    let trust = MountingTrust {
        camber: Angle::from_deg(0.1),
        pitch: Angle::from_deg(0.1),
        heading: Angle::from_deg(1.0),
    };
    WheelSetup {
        side: Side::Left,
        chip,
        mounting: Mounting::declared(Side::Left, BoardAxis::YPlus, BoardAxis::ZPlus, trust)
            .expect("axes at right angles"),
        floor: FloorSlope::presumed_level(Angle::from_deg(0.2)),
    }
}

impl Way {
    /// The way of one board, from its first byte on.
    pub fn of(family: &Family) -> Self {
        let chip = ChipFigures::CHEAP;
        let start = HostTime::from_us(0);
        Self {
            reader: family.reader(),
            packing: family.packing,
            number_bits: family.format.sequence_bits(),
            clock: DeviceClock::new(),
            counted: CountedClock::new(),
            pipeline: BoardPipeline::new(calibration(), chip, Some(wheel(chip))),
            looked_at: start,
            last_at: start,
        }
    }

    /// Takes one read of the line that arrived at `now`.
    pub fn take(&mut self, bytes: &[u8], now: HostTime, came: &mut Came) {
        self.reader.push_piece(bytes, self.packing);
        while let Some(frame) = self.reader.next() {
            let Frame::Reading(reading) = frame else {
                came.bad += 1;
                continue;
            };
            let Some(raw) = self.placed(&reading, now) else {
                continue;
            };
            match self.pipeline.ingest(&raw) {
                Ok(_) => came.samples += 1,
                Err(_) => came.rejected += 1,
            }
        }
        if now.since_us(self.looked_at) >= LOOK_US {
            self.looked_at = now;
            if let hubplumb_core::reading::Live::Known { .. } = self.look(now).camber {
                came.shown += 1;
            }
        }
    }

    /// What is shown.
    pub fn look(&self, now: HostTime) -> LiveWheel {
        self.pipeline.live(now)
    }

    fn placed(&mut self, reading: &Reading, now: HostTime) -> Option<RawSample> {
        let at = match (reading.device_time_us, reading.sequence) {
            (Some(device_us), _) => self.clock.observe(device_us, now).at,
            (None, sequence) => {
                let number = sequence
                    .zip(self.number_bits)
                    .map(|(value, bits)| Number { value, bits });
                let stamp = self.counted.observe(number, now);
                stamp.map_or(now, |stamp| stamp.at)
            }
        };
        // Without numbers and in one read, readings come a little after one another.
        let at = at.max(HostTime::from_us(self.last_at.us() + 1));
        self.last_at = at;
        let accel_g = match (reading.accel_g, reading.attitude_rad) {
            (Some(accel_g), _) => Vec3::from_array(accel_g),
            (None, Some([roll, pitch, _])) => {
                felt_at(Angle::from_rad(roll), Angle::from_rad(pitch))
            }
            (None, None) => return None,
        };
        Some(RawSample {
            at,
            accel_g,
            rate_radps: reading.rate_radps.map(Vec3::from_array),
            temperature_c: reading.temperature_c,
        })
    }
}

/// A whole stream, from the first byte to the last look. Kept apart, so that counting can begin and
/// end with it.
#[inline(never)]
pub fn drive(family: &Family, stream: &Stream) -> Came {
    let mut way = Way::of(family);
    let mut came = Came::default();
    let read_us = stream.period_us * i64::try_from(stream.per_read).unwrap_or(1);
    for (number, bytes) in (1..).zip(&stream.reads) {
        way.take(
            bytes,
            HostTime::from_us(number * read_us + DELAY_US),
            &mut came,
        );
    }
    came
}

/// The frames alone, as far as readings.
#[inline(never)]
pub fn decode(family: &Family, stream: &Stream) -> Came {
    let mut reader = family.reader();
    let mut came = Came::default();
    for bytes in &stream.reads {
        reader.push_piece(bytes, family.packing);
        while let Some(frame) = reader.next() {
            match frame {
                Frame::Reading(reading) => {
                    std::hint::black_box(&reading);
                    came.samples += 1;
                }
                Frame::Bad(_) => came.bad += 1,
            }
        }
    }
    came
}

/// Where a wheel stands by the mean of a window.
pub fn camber(wheel: &WheelSetup, mean: &Vec3<hubplumb_core::frames::Board>) -> Option<Angle> {
    Stance::of(wheel, mean).map(|stance| stance.camber)
}
