//! Judging the numbers of a configuration.

use std::net::SocketAddr;

use clap::ValueEnum as _;
use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use tracing_subscriber::EnvFilter;

use super::locate::Step;
use super::raw::{RawFloor, RawHttp, RawLog, RawSwing};
use super::{DEFAULT_LISTEN, HttpConfig, LogConfig, LogFormat, SwingConfig};

/// A garage floor that nobody has surveyed, one sigma (common practice, no source):
/// concrete is laid to fall about 1 cm over a car's length.
pub(super) const FLOOR_STANDARD: Angle = Angle::from_deg(0.1);
/// Toe that nobody has measured, one sigma: a road car off its figure by a good part of a degree.
pub(super) const TOE_STANDARD: Angle = Angle::from_deg(0.25);
/// Rest to hold: long enough that the noise of a cheap chip falls below the rest of the budget.
pub(super) const HOLD_US: i64 = 4_000_000;
/// A turn plate with marks at each degree, read to a quarter, one sigma.
pub(super) const PLATE_STANDARD: Angle = Angle::from_deg(0.15);
/// Body roll and pitch from steering on plates, one sigma at the stops (common practice, no source).
pub(super) const BODY_ROLL: Angle = Angle::from_deg(0.2);
pub(super) const BODY_PITCH: Angle = Angle::from_deg(0.1);

/// A fault before its line is looked up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Judged {
    pub(super) path: Vec<Step>,
    pub(super) what: String,
    pub(super) fix: String,
}

/// Collects faults, so that one look at a file tells all that is wrong with it.
#[derive(Debug, Default)]
pub(super) struct Faults {
    pub(super) found: Vec<Judged>,
}

impl Faults {
    pub(super) fn add(&mut self, path: &[Step], what: impl Into<String>, fix: impl Into<String>) {
        self.found.push(Judged {
            path: path.to_vec(),
            what: what.into(),
            fix: fix.into(),
        });
    }

    /// `value`, or `otherwise` and a fault when it is not within the bounds.
    pub(super) fn within(
        &mut self,
        path: &[Step],
        value: f64,
        least: f64,
        most: f64,
        unit: &str,
        otherwise: f64,
    ) -> f64 {
        // Written so that NaN, which TOML allows, is outside.
        if value >= least && value <= most {
            return value;
        }
        self.add(
            path,
            format!("{value} is outside {least} to {most} {unit}"),
            format!("write a number from {least} to {most} ({unit}), or leave the key out for {otherwise}"),
        );
        otherwise
    }

    /// A one-sigma angle.
    pub(super) fn standard(
        &mut self,
        path: &[Step],
        value_deg: Option<f64>,
        otherwise: Angle,
    ) -> Angle {
        value_deg.map_or(otherwise, |value| {
            Angle::from_deg(self.within(path, value, 0.0, 10.0, "degrees", otherwise.deg()))
        })
    }
}

pub(super) fn http(raw: &RawHttp, faults: &mut Faults) -> HttpConfig {
    let usual = HttpConfig::default();
    HttpConfig {
        listen: listen(raw, faults),
        https: raw.https.unwrap_or(usual.https),
        announce: raw.announce.unwrap_or(usual.announce),
        commands: raw.commands.unwrap_or(usual.commands),
        names: names(raw, faults),
    }
}

fn names(raw: &RawHttp, faults: &mut Faults) -> Vec<String> {
    let at = [Step::Key("http"), Step::Key("names")];
    for name in &raw.names {
        if let Err(why) = host_name(name) {
            faults.add(
                &at,
                why,
                "write it as it stands in the address: `garage.lan`",
            );
        }
    }
    raw.names.clone()
}

/// Is it a name that a page can be opened by?
pub(crate) fn host_name(name: &str) -> Result<(), String> {
    let is_part = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '-' | '.');
    if !name.is_empty()
        && name.len() <= 253
        && name.chars().all(is_part)
        && !name.starts_with(['.', '-'])
    {
        Ok(())
    } else {
        Err(format!("`{name}` is not the name of a host"))
    }
}

fn listen(raw: &RawHttp, faults: &mut Faults) -> SocketAddr {
    let Some(listen) = &raw.listen else {
        return DEFAULT_LISTEN;
    };
    listen.parse().unwrap_or_else(|_| {
        faults.add(
            &[Step::Key("http"), Step::Key("listen")],
            format!("`{listen}` is not an address with a port"),
            "write it as in `127.0.0.1:8710` (this machine only) or `0.0.0.0:8710` (everybody on the network)",
        );
        DEFAULT_LISTEN
    })
}

pub(super) fn log(raw: &RawLog, faults: &mut Faults) -> LogConfig {
    let at = |key| [Step::Key("log"), Step::Key(key)];
    let filter = raw.filter.clone().filter(|filter| {
        let understood = EnvFilter::try_new(filter);
        if let Err(error) = &understood {
            faults.add(
                &at("filter"),
                format!("`{filter}` is not understood: {error}"),
                "write a level (error, warn, info, debug, trace), or parts with levels as in `warn,hubplumb=debug`",
            );
        }
        understood.is_ok()
    });
    let format = raw.format.as_ref().and_then(|format| {
        let known = LogFormat::from_str(format, false);
        if known.is_err() {
            faults.add(
                &at("format"),
                format!("there is no log format `{format}`"),
                "write `text` or `json`",
            );
        }
        known.ok()
    });
    LogConfig { filter, format }
}

pub(super) fn floor(raw: &RawFloor, faults: &mut Faults) -> FloorSlope {
    let at = |key| [Step::Key("floor"), Step::Key(key)];
    let standard = faults.standard(&at("standard_deg"), raw.standard_deg, FLOOR_STANDARD);
    let roll = faults.within(&at("roll_deg"), raw.roll_deg, -10.0, 10.0, "degrees", 0.0);
    let pitch = faults.within(&at("pitch_deg"), raw.pitch_deg, -10.0, 10.0, "degrees", 0.0);
    FloorSlope {
        roll: Estimate::new(Angle::from_deg(roll), standard),
        pitch: Estimate::new(Angle::from_deg(pitch), standard),
    }
}

pub(super) fn swing(raw: &RawSwing, faults: &mut Faults) -> SwingConfig {
    let at = |key| [Step::Key("swing"), Step::Key(key)];
    let toe_at = |key| [Step::Key("swing"), Step::Key("toe"), Step::Key(key)];
    let hold_us = raw.hold_s.map_or(HOLD_US, |hold_s| {
        seconds_to_us(faults.within(&at("hold_s"), hold_s, 1.0, 60.0, "seconds", 4.0))
    });
    let toe_standard = faults.standard(&toe_at("standard_deg"), raw.toe.standard_deg, TOE_STANDARD);
    let mut toe = |key, value_deg| {
        let value_deg = faults.within(&toe_at(key), value_deg, -10.0, 10.0, "degrees", 0.0);
        Estimate::new(Angle::from_deg(value_deg), toe_standard)
    };
    let toe_left = toe("front_left_deg", raw.toe.front_left_deg);
    let toe_right = toe("front_right_deg", raw.toe.front_right_deg);
    SwingConfig {
        hold_us,
        toe_left,
        toe_right,
        plate_standard: faults.standard(
            &at("plate_standard_deg"),
            raw.plate_standard_deg,
            PLATE_STANDARD,
        ),
        body_roll: faults.standard(
            &at("body_roll_standard_deg"),
            raw.body_roll_standard_deg,
            BODY_ROLL,
        ),
        body_pitch: faults.standard(
            &at("body_pitch_standard_deg"),
            raw.body_pitch_standard_deg,
            BODY_PITCH,
        ),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "at most a minute, checked by the caller"
)]
fn seconds_to_us(seconds: f64) -> i64 {
    (seconds * 1e6).round() as i64
}
