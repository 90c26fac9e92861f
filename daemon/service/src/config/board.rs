//! Judging what a configuration says of one board.

use std::path::Path;

use hubplumb_core::angle::Angle;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::{Chip, ChipFigures};
use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};

use super::bluetooth::bluetooth;
use super::format::format;
use super::judge::Faults;
use super::locate::Step;
use super::raw::{RawBoard, RawCalibration, RawMounting};
use super::{BoardConfig, ConfigError};
use crate::axis::AxisName;
use crate::link::{BadTarget, Target};
use crate::mount::Mount;

/// A bracket set by eye and strap (common practice, no source), one sigma.
pub(crate) const TILT_BY_EYE: Angle = Angle::from_deg(0.3);
/// Turned about the upright the eye sees less.
pub(crate) const HEADING_BY_EYE: Angle = Angle::from_deg(1.0);

const AXIS_FIX: &str = "write one of +x, -x, +y, -y, +z, -z: the arrow printed on the board";

/// Keys of one board.
pub(super) struct At(usize);

impl At {
    pub(super) fn key(&self, key: &'static str) -> [Step; 3] {
        [Step::Key("board"), Step::Index(self.0), Step::Key(key)]
    }

    pub(super) fn under(&self, table: &'static str, key: &'static str) -> [Step; 4] {
        [
            Step::Key("board"),
            Step::Index(self.0),
            Step::Key(table),
            Step::Key(key),
        ]
    }
}

/// Reads a calibration file that a board names, relative to the configuration's folder.
pub(super) type ReadCalibration<'a> = &'a dyn Fn(&Path) -> Result<RawCalibration, ConfigError>;

/// A fault in another file, which has its own lines.
pub(super) type ForeignFaults = Vec<ConfigError>;

pub(super) fn board(
    index: usize,
    raw: &RawBoard,
    read_calibration: ReadCalibration<'_>,
    faults: &mut Faults,
    foreign: &mut ForeignFaults,
) -> BoardConfig {
    let at = At(index);
    let (id, target) = target(&at, raw, faults);
    let target = match &raw.bluetooth {
        Some(told) => bluetooth(&at, told, target, faults),
        None => target,
    };
    let mount = raw.mount.as_ref().and_then(|name| {
        let mount = Mount::named(name);
        if mount.is_none() {
            let names: Vec<_> = Mount::ALL.iter().map(|mount| mount.name()).collect();
            faults.add(
                &at.key("mount"),
                format!("there is no mount `{name}`"),
                format!("write one of {}", names.join(", ")),
            );
        }
        mount
    });
    if let Some(baud) = raw.baud
        && !(300..=4_000_000).contains(&baud)
    {
        faults.add(
            &at.key("baud"),
            format!("{baud} is no speed of a serial line"),
            "write the speed set in the board, e.g. 115200, or leave the key out to have it found by listening",
        );
    }
    BoardConfig {
        name: raw
            .name
            .clone()
            .unwrap_or_else(|| mount.map_or_else(|| id.clone(), |mount| mount.words().to_string())),
        format: format(&at, raw, &target, faults),
        id,
        target,
        mount,
        baud: raw.baud,
        chip: chip(&at, raw, faults),
        calibration: calibration(
            &at,
            raw.calibration.as_ref(),
            read_calibration,
            faults,
            foreign,
        ),
        mounting: raw
            .mounting
            .as_ref()
            .filter(|mounting| mounting.away.is_none())
            .and_then(|mounting| self::mounting(&at, mounting, mount, faults)),
        away: raw
            .mounting
            .as_ref()
            .and_then(|mounting| away(&at, mounting, faults)),
    }
}

/// The axis away from the car, for a board whose spin axis is found by turning the wheel.
fn away(at: &At, raw: &RawMounting, faults: &mut Faults) -> Option<BoardAxis> {
    let away = raw.away.as_ref()?;
    if raw.outboard.is_some() || raw.spin_axis.is_some() || raw.up.is_some() {
        faults.add(
            &at.under("mounting", "away"),
            "`away` stands beside a mounting that says more",
            "keep `away` alone, and turn the wheel on its bearing to have the spin axis found, or take it out",
        );
    }
    axis(&at.under("mounting", "away"), away, faults)
}

fn target(at: &At, raw: &RawBoard, faults: &mut Faults) -> (String, Target) {
    match (&raw.id, &raw.port) {
        (Some(id), None) => (id.clone(), Target::Identity(id.clone())),
        (None, Some(port)) => {
            let target = port.parse().unwrap_or_else(|error: BadTarget| {
                faults.add(&at.key("port"), error.to_string(), error.fix());
                Target::Identity(String::new())
            });
            (port.clone(), target)
        }
        (Some(id), Some(_)) => {
            faults.add(
                &at.key("port"),
                "a board is found either by `id` or by `port`, and both are given",
                "keep `id`, which stays when ports are numbered anew, and take `port` out",
            );
            (id.clone(), Target::Identity(id.clone()))
        }
        (None, None) => {
            faults.add(
                &[Step::Key("board"), Step::Index(at.0)],
                "nothing says how this board is found",
                "add `id = \"…\"` (shown by `hubplumb boards`) or `port = \"/dev/…\"`",
            );
            (String::new(), Target::Identity(String::new()))
        }
    }
}

fn chip(at: &At, raw: &RawBoard, faults: &mut Faults) -> ChipFigures {
    let class = class(at, raw, faults);
    let Some(figures) = &raw.figures else {
        return class;
    };
    figures.over(class).unwrap_or_else(|bad| {
        for bad in bad {
            faults.add(
                &at.under("figures", bad.key),
                format!("{} is no such figure", bad.found),
                "write a number that is not negative, in the unit of the key, or leave the key out for the chip class's figure",
            );
        }
        class
    })
}

fn class(at: &At, raw: &RawBoard, faults: &mut Faults) -> ChipFigures {
    let Some(name) = &raw.chip else {
        // Calibrated or not, the careful assumption is the chip without a name.
        return if raw.calibration.is_some() {
            ChipFigures::CHEAP
        } else {
            ChipFigures::RAW
        };
    };
    let Some(chip) = Chip::named(name) else {
        faults.add(
            &at.key("chip"),
            format!("there is no chip `{name}`"),
            format!(
                "write one of {}",
                Chip::names().collect::<Vec<_>>().join(", ")
            ),
        );
        return ChipFigures::RAW;
    };
    chip.figures(raw.calibration.is_some())
}

fn mounting(
    at: &At,
    raw: &RawMounting,
    mount: Option<Mount>,
    faults: &mut Faults,
) -> Option<Mounting> {
    let key = |key| at.under("mounting", key);
    let trust = MountingTrust {
        camber: faults.standard(
            &key("camber_standard_deg"),
            raw.camber_standard_deg,
            TILT_BY_EYE,
        ),
        pitch: faults.standard(
            &key("pitch_standard_deg"),
            raw.pitch_standard_deg,
            TILT_BY_EYE,
        ),
        heading: faults.standard(
            &key("heading_standard_deg"),
            raw.heading_standard_deg,
            HEADING_BY_EYE,
        ),
    };
    let Some(up) = &raw.up else {
        faults.add(
            &At(at.0).key("mounting"),
            "the mounting does not say which side of the board is up",
            "add `up = \"+y\"` (the board's axis that points up), or write `away = \"+z\"` alone and turn the wheel on its bearing",
        );
        return None;
    };
    let upward = axis(&key("up"), up, faults)?;
    let Some(side) = mount.and_then(Mount::side) else {
        let at = At(at.0);
        match mount {
            Some(_) => faults.add(
                &at.key("mounting"),
                "a board on the body has no wheel to sit on",
                "take the mounting out",
            ),
            None => faults.add(
                &at.key("mounting"),
                "a mounting is given and no mount",
                "add `mount = \"front_left\"` or where else the board is strapped",
            ),
        }
        return None;
    };
    let (made, at_key) = match (&raw.outboard, raw.spin_axis) {
        (Some(outboard), None) => {
            let outboard = axis(&key("outboard"), outboard, faults)?;
            (
                Mounting::declared(side, outboard, upward, trust),
                key("outboard"),
            )
        }
        (None, Some(spin_axis)) => (
            Mounting::with_spin_axis(side, spin_axis, upward, trust),
            key("spin_axis"),
        ),
        _ => {
            faults.add(
                &At(at.0).key("mounting"),
                "the outboard direction has to be given once, as `outboard` or as `spin_axis`",
                "write `outboard = \"+z\"` (the board's axis that points away from the car) or a measured `spin_axis = [x, y, z]`",
            );
            return None;
        }
    };
    made.map_err(|error| {
        faults.add(
            &at_key,
            error.to_string(),
            "give two directions at right angles to each other",
        );
    })
    .ok()
}

fn axis(path: &[Step], name: &str, faults: &mut Faults) -> Option<BoardAxis> {
    let axis = AxisName::named(name);
    if axis.is_none() {
        faults.add(
            path,
            format!("`{name}` is no direction of a board"),
            AXIS_FIX,
        );
    }
    axis.map(BoardAxis::from)
}

const UNIT: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn calibration(
    at: &At,
    raw: Option<&RawCalibration>,
    read: ReadCalibration<'_>,
    faults: &mut Faults,
    foreign: &mut ForeignFaults,
) -> Calibration {
    let Some(raw) = raw else {
        return Calibration::none();
    };
    let read_from_file;
    let numbers = match &raw.file {
        Some(_) if raw.has_numbers() => {
            faults.add(
                &at.under("calibration", "file"),
                "a calibration file is named and numbers are given as well",
                "keep one of the two",
            );
            return Calibration::none();
        }
        Some(file) => match read(Path::new(file)) {
            Ok(numbers) => {
                read_from_file = numbers;
                &read_from_file
            }
            Err(error) => {
                foreign.push(error);
                return Calibration::none();
            }
        },
        None => raw,
    };
    from_numbers(numbers).unwrap_or_else(|(what, fix)| {
        faults.add(
            &[
                Step::Key("board"),
                Step::Index(at.0),
                Step::Key("calibration"),
            ],
            what,
            fix,
        );
        Calibration::none()
    })
}

/// A calibration from its numbers, or what is wrong and how to mend it.
pub(super) fn from_numbers(
    numbers: &RawCalibration,
) -> Result<Calibration, (String, &'static str)> {
    if !numbers.has_numbers() {
        return Err((
            "the calibration holds no number".to_owned(),
            "give accel_offset_g and accel_matrix (and gyro_offset_dps, gyro_matrix), or take the table out",
        ));
    }
    Calibration::from_parts(
        numbers.accel_offset_g.unwrap_or([0.0; 3]),
        numbers.accel_matrix.unwrap_or(UNIT),
        numbers
            .gyro_offset_dps
            .unwrap_or([0.0; 3])
            .map(f64::to_radians),
        numbers.gyro_matrix.unwrap_or(UNIT),
    )
    .map_err(|error| {
        (
            error.to_string(),
            "calibrate the board again, or take the table out to work without",
        )
    })
}
