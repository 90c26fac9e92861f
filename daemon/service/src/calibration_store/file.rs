//! The file of one board.

use hubplumb_core::calibrate::{KeptAxis, KeptCalibration, LeftFigures};
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::SettledAxis;
use hubplumb_core::frames::{Dir, Vec3};
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

use super::StoredCalibration;

/// The format that is written. A change that older programs would misread gets another number.
const FORMAT: u32 = 1;
const UNIT: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
/// No standard uncertainty of a calibration comes near this.
const STANDARD_LIMIT: f64 = 0.5;

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: u32,
    board: String,
    date: String,
    accel: Accel,
    gyro: Gyro,
    standard: Standard,
    poses: Poses,
    #[serde(skip_serializing_if = "Option::is_none")]
    temperature: Option<Temperature>,
    #[serde(skip_serializing_if = "Option::is_none")]
    settled: Option<Settled>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Accel {
    offset_g: [f64; 3],
    matrix: [[f64; 3]; 3],
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Gyro {
    offset_dps: [f64; 3],
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Standard {
    accel_offset_g: f64,
    accel_scale: f64,
    accel_cross_rad: f64,
    gyro_cross_rad: f64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Poses {
    count: usize,
    residual_rms_g: f64,
    #[serde(default)]
    covariance: Vec<[f64; 9]>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Temperature {
    mean_c: f64,
    span_c: f64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settled {
    along: [f64; 3],
    /// Nothing where the board was turned top to bottom.
    #[serde(default)]
    felt_g: [f64; 3],
    offset_standard_g: f64,
    date: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    temperature_c: Option<f64>,
}

/// Why a text is no calibration: where it is known, the place in the text.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// No TOML, or not of this shape; at this byte.
    Shape(usize, String),
    /// Of this shape, with numbers that cannot be.
    Content(String),
}

/// Gravity and the offset of a chip.
const MOST_FELT_G: f64 = 1.3;

pub(super) fn write(stored: &StoredCalibration) -> Result<String, String> {
    let kept = &stored.kept;
    let date = |date: OffsetDateTime| date.format(&Rfc3339).map_err(|error| error.to_string());
    let settled = kept
        .settled
        .map(|settled| {
            Ok::<_, String>(Settled {
                along: settled.axis.along.vec().to_array(),
                felt_g: settled.axis.felt_g.to_array(),
                offset_standard_g: settled.axis.offset_g,
                date: date(stored.settled_date.unwrap_or(stored.date))?,
                temperature_c: settled.temperature_c,
            })
        })
        .transpose()?;
    let file = File {
        format: FORMAT,
        board: stored.board.clone(),
        date: date(stored.date)?,
        accel: Accel {
            offset_g: kept.calibration.accel_offset_g(),
            matrix: kept.calibration.accel_matrix(),
        },
        gyro: Gyro {
            offset_dps: kept.calibration.gyro_offset_radps().map(f64::to_degrees),
        },
        standard: Standard {
            accel_offset_g: kept.left.accel_offset_g,
            accel_scale: kept.left.accel_scale,
            accel_cross_rad: kept.left.accel_cross_rad,
            gyro_cross_rad: kept.left.gyro_cross_rad,
        },
        poses: Poses {
            count: stored.poses,
            residual_rms_g: stored.residual_rms_g,
            covariance: stored.covariance.clone(),
        },
        temperature: kept
            .temperature_c
            .zip(stored.temperature_span_c)
            .map(|(mean_c, span_c)| Temperature { mean_c, span_c }),
        settled,
    };
    let body = toml::to_string(&file).map_err(|error| error.to_string())?;
    Ok(format!(
        "# Calibration of a board, written by hubplumb; docs/CALIBRATION.md explains it.\n{body}"
    ))
}

pub(super) fn read(text: &str, board: &str) -> Result<StoredCalibration, Fault> {
    let file: File = toml::from_str(text).map_err(|error| {
        let at = error.span().map_or(0, |span| span.start);
        Fault::Shape(at, error.message().replace('\n', " "))
    })?;
    if file.format != FORMAT {
        return Err(Fault::Content(format!(
            "it is of format {}, and this program reads format {FORMAT}",
            file.format
        )));
    }
    if file.board != board {
        return Err(Fault::Content(format!(
            "it is that of `{}`, not of `{board}`",
            file.board
        )));
    }
    let date = date(&file.date)?;
    let calibration = Calibration::from_parts(
        file.accel.offset_g,
        file.accel.matrix,
        file.gyro.offset_dps.map(f64::to_radians),
        UNIT,
    )
    .map_err(|error| Fault::Content(error.to_string()))?;
    let standard = &file.standard;
    let mut numbers = vec![
        standard.accel_offset_g,
        standard.accel_scale,
        standard.accel_cross_rad,
        standard.gyro_cross_rad,
        file.poses.residual_rms_g,
    ];
    if let Some(axis) = &file.settled {
        numbers.push(axis.offset_standard_g);
        // NaN is in no range.
        let sound = |part: &f64| (-MOST_FELT_G..=MOST_FELT_G).contains(part);
        if !axis.felt_g.iter().all(sound) {
            let felt = format!(
                "{:?} g is not what a board feels that is turned over",
                axis.felt_g
            );
            return Err(Fault::Content(felt));
        }
    }
    // Written so that NaN, which TOML allows, is refused too.
    if let Some(bad) = numbers
        .iter()
        .find(|n| !(**n >= 0.0 && **n <= STANDARD_LIMIT))
    {
        return Err(Fault::Content(format!(
            "{bad} is no standard uncertainty of a calibration"
        )));
    }
    let (settled, settled_date) = match &file.settled {
        Some(settled) => {
            let (axis, on) = axis(settled)?;
            (Some(axis), Some(on))
        }
        None => (None, None),
    };
    let temperature = file.temperature.as_ref();
    if let Some(warmth) = temperature
        && !((-60.0..=150.0).contains(&warmth.mean_c) && (0.0..=100.0).contains(&warmth.span_c))
    {
        return Err(Fault::Content(
            "no chip works at its temperature".to_owned(),
        ));
    }
    Ok(StoredCalibration {
        board: file.board,
        date,
        kept: KeptCalibration {
            calibration,
            left: LeftFigures {
                accel_offset_g: standard.accel_offset_g,
                accel_scale: standard.accel_scale,
                accel_cross_rad: standard.accel_cross_rad,
                gyro_cross_rad: standard.gyro_cross_rad,
            },
            temperature_c: temperature.map(|warmth| warmth.mean_c),
            settled,
        },
        poses: file.poses.count,
        residual_rms_g: file.poses.residual_rms_g,
        temperature_span_c: temperature.map(|warmth| warmth.span_c),
        covariance: file.poses.covariance,
        settled_date,
    })
}

fn date(written: &str) -> Result<OffsetDateTime, Fault> {
    OffsetDateTime::parse(written, &Rfc3339)
        .map_err(|error| Fault::Content(format!("`{written}` is no date: {error}")))
}

fn axis(settled: &Settled) -> Result<(KeptAxis, OffsetDateTime), Fault> {
    let along = Dir::along(Vec3::from_array(settled.along))
        .ok_or_else(|| Fault::Content("the settled axis has no direction".to_owned()))?;
    let kept = KeptAxis {
        axis: SettledAxis {
            along,
            felt_g: Vec3::from_array(settled.felt_g),
            offset_g: settled.offset_standard_g,
        },
        temperature_c: settled.temperature_c,
    };
    Ok((kept, date(&settled.date)?))
}
