//! What each format carries of a reading. A new format is one entry of [`wires`].

use hubplumb_protocol::{ColumnMap, Encoder, Reading, WireFormat};

/// One format under test.
#[derive(Debug, Clone)]
pub(crate) struct Wire {
    pub(crate) format: WireFormat,
    /// What arrives of readings that were sent, but for rounding.
    pub(crate) carried: fn(&[Reading]) -> Vec<Reading>,
    /// Half a step of the wire, and a little for rounding.
    pub(crate) steps: fn(&Reading) -> Steps,
    /// Readings that are lost at most when garbage runs into the first: those
    /// whose beginning the format itself cannot tell from what is before it.
    pub(crate) lost: usize,
    /// Bytes that may wait for those that follow: the longest frame that garbage may promise.
    pub(crate) most_waiting: usize,
}

/// How far what arrives may be from what was sent.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Steps {
    pub(crate) accel_g: f64,
    pub(crate) rate_radps: f64,
    pub(crate) attitude_rad: f64,
    pub(crate) temperature_c: f64,
    pub(crate) time_us: f64,
}

const TEXT_LINE_BYTES: usize = 513;

/// Every format that can be had by its name alone, and text with other columns.
pub(crate) fn wires() -> Vec<Wire> {
    let text = |name, map: ColumnMap, carried| Wire {
        format: WireFormat::from_name(name, Some(map)).expect("a known name"),
        carried,
        steps: text_steps,
        // Garbage makes one line with the first.
        lost: 1,
        most_waiting: TEXT_LINE_BYTES,
    };
    let named = |name| WireFormat::from_name(name, None).expect("a known name");
    let all_columns = || {
        ColumnMap::from_header(
            "t_ms,seq,ax_mps2,ay_mps2,az_mps2,gx_rads,gy_rads,gz_rads,roll,pitch,yaw,temp",
        )
        .expect("usable")
    };
    let ahrs55 = |name, carried| Wire {
        format: named(name),
        carried,
        steps: ahrs55_steps,
        // Whole cycles of another content before it: the new content has to be learned.
        lost: 1,
        // The cycles that are learned by those after them.
        most_waiting: 160,
    };
    vec![
        text("csv", ColumnMap::canonical(), canonical),
        text("csv", all_columns(), <[Reading]>::to_vec),
        text("labelled", ColumnMap::canonical(), canonical),
        text("labelled", all_columns(), <[Reading]>::to_vec),
        text("json-lines", ColumnMap::canonical(), canonical),
        text("json-lines", all_columns(), <[Reading]>::to_vec),
        ahrs55("ahrs55", cycles),
        ahrs55("ahrs55-six-axis", six_axis_cycles),
        Wire {
            format: named("ahrs55-radio"),
            carried: radio,
            steps: ahrs55_steps,
            lost: 0,
            most_waiting: 110,
        },
        Wire {
            format: named("rvc"),
            carried: rvc,
            steps: rvc_steps,
            lost: 0,
            most_waiting: 110,
        },
        Wire {
            format: named("xbus"),
            carried: xbus,
            steps: xbus_steps,
            lost: 0,
            // The longest frame that two bytes of length may promise, and a run of skipped bytes.
            most_waiting: 2048 + 7 + 64,
        },
        Wire {
            format: named("mavlink"),
            carried: mavlink,
            steps: xbus_steps,
            // An attitude that came before goes out with the first acceleration.
            lost: 1,
            most_waiting: 280 + 10 + 64,
        },
        Wire {
            format: named("compact"),
            carried: compact,
            steps: compact_steps,
            lost: 0,
            most_waiting: 64,
        },
    ]
}

/// The bytes of readings, without what a board says first.
pub(crate) fn encoded(wire: &Wire, readings: &[Reading]) -> Vec<u8> {
    let encoder = Encoder::new(&wire.format);
    let mut bytes = Vec::new();
    for reading in readings {
        encoder.encode(reading, &mut bytes);
    }
    bytes
}

fn map(readings: &[Reading], carried: impl Fn(&Reading) -> Reading) -> Vec<Reading> {
    readings.iter().map(carried).collect()
}

/// Running number of a wire that always has one, of so many bits.
fn number(reading: &Reading, bits: u32) -> u32 {
    reading.sequence.unwrap_or_default() % (1 << bits)
}

fn canonical(readings: &[Reading]) -> Vec<Reading> {
    map(readings, |reading| Reading {
        sequence: None,
        attitude_rad: None,
        ..*reading
    })
}

fn text_steps(_: &Reading) -> Steps {
    Steps {
        accel_g: 0.000_000_6,
        rate_radps: 0.000_001,
        attitude_rad: 0.000_001,
        temperature_c: 0.00501,
        time_us: 0.001,
    }
}

/// The wire has no word for a temperature that is not known: a count of 0 comes.
fn cycles_with_unknown(readings: &[Reading], unknown_c: f64) -> Vec<Reading> {
    map(readings, |reading| Reading {
        sequence: None,
        temperature_c: Some(reading.temperature_c.unwrap_or(unknown_c)),
        ..*reading
    })
}

fn cycles(readings: &[Reading]) -> Vec<Reading> {
    cycles_with_unknown(readings, 0.0)
}

fn six_axis_cycles(readings: &[Reading]) -> Vec<Reading> {
    cycles_with_unknown(readings, 36.53)
}

fn ahrs55_steps(_: &Reading) -> Steps {
    Steps {
        accel_g: 16.0 / 32_768.0 * 0.501,
        rate_radps: (2000_f64 / 32_768.0).to_radians() * 0.501,
        attitude_rad: (180_f64 / 32_768.0).to_radians() * 0.501,
        temperature_c: 0.00501,
        time_us: 0.0,
    }
}

/// Every frame has all nine words.
fn radio(readings: &[Reading]) -> Vec<Reading> {
    map(readings, |reading| Reading {
        accel_g: reading.accel_g,
        rate_radps: Some(reading.rate_radps.unwrap_or_default()),
        attitude_rad: Some(reading.attitude_rad.unwrap_or_default()),
        ..Reading::default()
    })
}

fn rvc(readings: &[Reading]) -> Vec<Reading> {
    map(readings, |reading| Reading {
        sequence: Some(number(reading, 8)),
        accel_g: reading.accel_g,
        attitude_rad: Some(reading.attitude_rad.unwrap_or_default()),
        ..Reading::default()
    })
}

fn rvc_steps(_: &Reading) -> Steps {
    Steps {
        accel_g: 0.000_501,
        attitude_rad: 0.00501_f64.to_radians(),
        ..ahrs55_steps(&Reading::default())
    }
}

fn xbus(readings: &[Reading]) -> Vec<Reading> {
    map(readings, |reading| Reading {
        sequence: reading.sequence.map(|number| number % (1 << 16)),
        ..*reading
    })
}

/// Numbers in `f32`, time in steps of 100 µs.
fn xbus_steps(_: &Reading) -> Steps {
    Steps {
        accel_g: 1e-6,
        rate_radps: 4e-6,
        attitude_rad: 4e-7,
        temperature_c: 4e-6,
        time_us: 50.1,
    }
}

fn mavlink(readings: &[Reading]) -> Vec<Reading> {
    map(readings, |reading| Reading {
        sequence: None,
        device_time_us: Some(reading.device_time_us.unwrap_or_default()),
        ..*reading
    })
}

fn compact(readings: &[Reading]) -> Vec<Reading> {
    // Milliseconds in 32 bits are microseconds in more: the clock goes on over
    // its wraps only when they are near, so the times sent lie within one turn.
    map(readings, |reading| Reading {
        sequence: Some(number(reading, 16)),
        device_time_us: Some(reading.device_time_us.unwrap_or_default()),
        ..*reading
    })
}

/// The encoder takes the smallest range that holds the values.
fn compact_steps(reading: &Reading) -> Steps {
    let step = |triple: Option<[f64; 3]>, smallest: f64| {
        let largest = triple
            .into_iter()
            .flatten()
            .fold(0.0_f64, |largest, value| largest.max(value.abs()));
        let mut range = smallest;
        while largest > range * 32_767.0 / 32_768.0 {
            range *= 2.0;
        }
        range / 32_768.0 * 0.501
    };
    Steps {
        accel_g: step(reading.accel_g, 2.0),
        rate_radps: step(reading.rate_radps, 125_f64.to_radians()),
        attitude_rad: (180_f64 / 32_768.0).to_radians() * 0.501,
        temperature_c: 0.00501,
        time_us: 0.501,
    }
}
