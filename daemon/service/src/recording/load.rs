//! From a session file to boards with their readings, and all that the core
//! asks to solve them.

use std::fs;
use std::path::{Path, PathBuf};

use hubplumb_core::angle::Angle;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Board, Dir, Vec3};
use hubplumb_core::live::{BoardPipeline, Rejected};
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::reading::Sample;
use hubplumb_core::session::{
    DeclaredFace, MeasuredBefore, Role, Session, SessionBoard, Window, WindowKind,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::BodyMotion;
use hubplumb_core::time::HostTime;

use super::before::JACKING_PITCH;
use super::csv_read::{self, CutShort};
use super::judged::{Judged, day};
use super::session_error::InputError;
use super::session_file::{
    BoardEntry, CalibrationEntry, ChipEntry, ClockEntry, CornerEntry, DirectionEntry, KindEntry,
    MountEntry, RoleEntry, SessionFile, SteerEntry,
};
use crate::config::{self, Config};

/// No wheel steers farther, degrees.
const PLATE_LIMIT_DEG: f64 = 60.0;

/// A session with its readings, ready to be solved.
#[derive(Debug)]
pub struct Loaded {
    /// For the core.
    pub session: Session,
    /// What was read of each board, in the order of the session's.
    pub files: Vec<FileRead>,
    /// Readings that were lost while they were recorded.
    pub lost_readings: u64,
}

/// What was read of one board.
#[derive(Debug, Clone)]
pub struct FileRead {
    /// Where it sat.
    pub role: RoleEntry,
    /// Its recording.
    pub file: PathBuf,
    /// Readings in it.
    pub readings: usize,
    /// Their first and last time.
    pub span: (HostTime, HostTime),
    /// Was there a gyro?
    pub has_gyro: bool,
    /// Times of readings at the end of the range, left out.
    pub saturated: Vec<HostTime>,
    /// Readings left out because their time was that of the one before.
    pub same_time: usize,
    /// How it ended, where it did not end with a line.
    pub cut_short: Option<CutShort>,
}

/// Reads and judges a session file.
pub fn read_session(file: &Path) -> Result<SessionFile, InputError> {
    let text = fs::read_to_string(file).map_err(|source| InputError::Unreadable {
        file: file.to_path_buf(),
        source,
    })?;
    parse_session(&text, file)
}

/// Reads the text of a session file; `file` names it in errors.
pub fn parse_session(text: &str, file: &Path) -> Result<SessionFile, InputError> {
    let told = |key: String, error: &serde_json::Error| InputError::Form {
        file: file.to_path_buf(),
        line: error.line(),
        column: error.column(),
        key: if key == "." {
            "the file".to_owned()
        } else {
            key
        },
        what: without_place(&error.to_string()),
    };
    let mut reader = serde_json::Deserializer::from_str(text);
    let session = serde_path_to_error::deserialize(&mut reader)
        .map_err(|error| told(error.path().to_string(), error.inner()))?;
    reader
        .end()
        .map_err(|error| told("the file".to_owned(), &error))?;
    Ok(session)
}

/// A message of the JSON reader without the place, which is told before it.
fn without_place(message: &str) -> String {
    message
        .rsplit_once(" at line ")
        .map_or(message, |(what, _)| what)
        .to_owned()
}

/// Reads the boards of a session and judges what the session says. Files are
/// looked for in `folder`; `only` takes the place of the file of a session's
/// single board; `file` names the session in errors.
pub fn load(
    entry: &SessionFile,
    file: &Path,
    folder: &Path,
    only: Option<&Path>,
) -> Result<Loaded, InputError> {
    let judged = Judged { file };
    let usual = Config::default();
    let mut boards = Vec::new();
    let mut files = Vec::new();
    if only.is_some() && entry.boards.len() != 1 {
        return Err(judged.wrong(
            "boards",
            format!("{} boards, and one recording", entry.boards.len()),
            "name the folder of the recordings instead of one of them",
        ));
    }
    for (index, board) in entry.boards.iter().enumerate() {
        let (board, read) = self::board(&judged, entry, index, board, folder, only)?;
        boards.push(board);
        files.push(read);
    }
    let floor = match &entry.floor {
        None => usual.floor,
        Some(floor) => {
            let standard = judged.standard("floor.standard_deg", floor.standard_deg)?;
            let roll = judged.small("floor.roll_deg", floor.roll_deg)?;
            let pitch = judged.small("floor.pitch_deg", floor.pitch_deg)?;
            FloorSlope {
                roll: Estimate::new(roll, standard),
                pitch: Estimate::new(pitch, standard),
            }
        }
    };
    let toe = entry.toe.as_ref();
    let toe_of = |key: &str, written: Option<super::session_file::AngleEntry>, usual: Estimate| {
        written.map_or(Ok::<_, InputError>(usual), |angle| {
            Ok(Estimate::new(
                judged.small(&format!("toe.{key}.value_deg"), angle.value_deg)?,
                judged.standard(&format!("toe.{key}.standard_deg"), angle.standard_deg)?,
            ))
        })
    };
    let standard_or = |key: &str, written: Option<f64>, usual: Angle| {
        written.map_or(Ok(usual), |written| judged.standard(key, written))
    };
    let body = entry.unwatched_body.as_ref();
    let session = Session {
        boards,
        floor,
        toe: [
            toe_of("left", toe.and_then(|t| t.left), usual.swing.toe_left)?,
            toe_of("right", toe.and_then(|t| t.right), usual.swing.toe_right)?,
        ],
        windows: windows(&judged, entry)?,
        unwatched: BodyMotion {
            roll: standard_or(
                "unwatched_body.roll_standard_deg",
                body.map(|b| b.roll_standard_deg),
                usual.swing.body_roll,
            )?,
            pitch: standard_or(
                "unwatched_body.pitch_standard_deg",
                body.map(|b| b.pitch_standard_deg),
                usual.swing.body_pitch,
            )?,
        },
        plate_standard: standard_or(
            "plate_standard_deg",
            entry.plate_standard_deg,
            usual.swing.plate_standard,
        )?,
        jacking_pitch: standard_or(
            "jacking_pitch_standard_deg",
            entry.jacking_pitch_standard_deg,
            JACKING_PITCH,
        )?,
    };
    Ok(Loaded {
        session,
        files,
        lost_readings: entry.lost_readings,
    })
}

fn board(
    judged: &Judged<'_>,
    entry: &SessionFile,
    index: usize,
    board: &BoardEntry,
    folder: &Path,
    only: Option<&Path>,
) -> Result<(SessionBoard, FileRead), InputError> {
    let key = |key: &str| format!("boards[{index}].{key}");
    let path = match (only, &board.file) {
        (Some(only), _) => only.to_path_buf(),
        (None, Some(name)) => folder.join(name),
        (None, None) => {
            return Err(judged.wrong(
                &key("file"),
                "no recording is named".to_owned(),
                "add the name of the recording, beside the session file",
            ));
        }
    };
    let calibration = calibration(judged, &key("calibration"), board.calibration.as_ref())?;
    let face = face(judged, &key("mount"), board)?;
    let recording = csv_read::read_file(&path)?;
    let readings = recording.readings.len();
    let temperature_c = mean(recording.readings.iter().filter_map(|r| r.temperature_c));
    let chip = aged(judged, &key, entry, board, temperature_c)?;
    let span = match (recording.readings.first(), recording.readings.last()) {
        (Some(first), Some(last)) => (first.at, last.at),
        _ => (HostTime::default(), HostTime::default()),
    };
    let mut pipeline = BoardPipeline::new(calibration, chip, None);
    let mut saturated = Vec::new();
    let mut samples: Vec<Sample> = Vec::with_capacity(readings);
    for raw in &recording.readings {
        match pipeline.ingest(raw) {
            Ok(sample) => samples.push(sample),
            Err(Rejected::Saturated { .. }) => saturated.push(raw.at),
            // The reader has seen to two of them already, and a file is on no line; what a hanging
            // chip says is a gap.
            Err(
                Rejected::Stuck { .. }
                | Rejected::NotFinite
                | Rejected::Aside
                | Rejected::Garbled
                | Rejected::TimeNotForward { .. },
            ) => {}
        }
    }
    let has_gyro = samples.iter().any(|sample| sample.rate_radps.is_some());
    if entry.steer == SteerEntry::Plates {
        for sample in &mut samples {
            sample.rate_radps = None;
        }
    }
    let role = match board.role {
        RoleEntry::Left => Role::Hub(Side::Left),
        RoleEntry::Right => Role::Hub(Side::Right),
        RoleEntry::Body => Role::Body,
    };
    Ok((
        SessionBoard {
            role,
            samples,
            chip,
            face,
            before: match &board.before {
                Some(before) => before.judged(judged, &key("before"))?,
                None => MeasuredBefore::default(),
            },
            shares_clock: board.clock == ClockEntry::Shared,
        },
        FileRead {
            role: board.role,
            file: path,
            readings,
            span,
            has_gyro,
            saturated,
            same_time: recording.same_time,
            cut_short: recording.cut_short,
        },
    ))
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

/// The chip's figures as they were in the session: written, then grown by heat and age.
fn aged(
    judged: &Judged<'_>,
    key: &dyn Fn(&str) -> String,
    entry: &SessionFile,
    board: &BoardEntry,
    temperature_c: Option<f64>,
) -> Result<ChipFigures, InputError> {
    let chip = match &board.chip {
        // As in the configuration: the careful assumption is the chip without a name.
        None if board.calibration.is_some() => ChipFigures::CHEAP,
        None => ChipFigures::RAW,
        Some(ChipEntry::Named(chip)) => chip.figures(board.calibration.is_some()),
        Some(ChipEntry::Figures(written)) => written
            .figures
            .over(written.class.figures(board.calibration.is_some()))
            .map_err(|bad| {
                let (name, found) = bad.first().map_or(("", 0.0), |bad| (bad.key, bad.found));
                judged.wrong(
                    &key(&format!("chip.figures.{name}")),
                    format!("{found} is no such figure"),
                    "write a number that is not negative, in the unit of the key",
                )
            })?,
    };
    let calibration = board.calibration.as_ref();
    let degrees_c = calibration
        .and_then(|c| c.temperature_c)
        .zip(temperature_c)
        .map_or(0.0, |(then, now)| now - then);
    let day_of = |key: &str, written: Option<&String>| {
        written.map(|written| day(judged, key, written)).transpose()
    };
    let made = day_of(
        &key("calibration.date"),
        calibration.and_then(|c| c.date.as_ref()),
    )?;
    let used = day_of("recorded_at", entry.recorded_at.as_ref())?;
    let days = made
        .zip(used)
        .map_or(0, |(made, used)| (used - made).whole_days());
    Ok(chip.drifted(degrees_c, days as f64))
}

fn calibration(
    judged: &Judged<'_>,
    key: &str,
    entry: Option<&CalibrationEntry>,
) -> Result<Calibration, InputError> {
    let Some(entry) = entry else {
        return Ok(Calibration::none());
    };
    let has_numbers = entry.accel_offset_g.is_some()
        || entry.accel_matrix.is_some()
        || entry.gyro_offset_dps.is_some()
        || entry.gyro_matrix.is_some();
    match &entry.file {
        Some(_) if has_numbers => Err(judged.wrong(
            &format!("{key}.file"),
            "a calibration file is named and numbers are given as well".to_owned(),
            "keep one of the two",
        )),
        Some(file) => {
            let beside = judged.file.parent().unwrap_or(Path::new("")).join(file);
            config::load_calibration(&beside).map_err(|error| InputError::Calibration {
                file: judged.file.to_path_buf(),
                key: format!("{key}.file"),
                error,
            })
        }
        None if !has_numbers => Err(judged.wrong(
            key,
            "the calibration holds no number".to_owned(),
            "give accel_offset_g and accel_matrix (and gyro_offset_dps, gyro_matrix), or take it out",
        )),
        None => {
            const UNIT: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
            Calibration::from_parts(
                entry.accel_offset_g.unwrap_or_default(),
                entry.accel_matrix.unwrap_or(UNIT),
                entry
                    .gyro_offset_dps
                    .unwrap_or_default()
                    .map(f64::to_radians),
                entry.gyro_matrix.unwrap_or(UNIT),
            )
            .map_err(|error| {
                judged.wrong(
                    key,
                    error.to_string(),
                    "calibrate the board again, or take the calibration out to work without",
                )
            })
        }
    }
}

fn face(
    judged: &Judged<'_>,
    key: &str,
    board: &BoardEntry,
) -> Result<Option<DeclaredFace>, InputError> {
    let MountEntry::Face(face) = &board.mount else {
        return Ok(None);
    };
    let direction = match (board.role, &face.outboard, &face.forward) {
        (RoleEntry::Body, None, Some(forward)) => forward,
        (RoleEntry::Left | RoleEntry::Right, Some(outboard), None) => outboard,
        (RoleEntry::Body, ..) => {
            return Err(judged.wrong(
                key,
                "a board on the body is declared by its forward direction alone".to_owned(),
                "write `\"forward\": \"+x\"`, or `\"mount\": \"unknown\"`",
            ));
        }
        _ => {
            return Err(judged.wrong(
                key,
                "a board on a hub is declared by its outboard direction alone".to_owned(),
                "write `\"outboard\": \"+z\"`, or `\"mount\": \"unknown\"`",
            ));
        }
    };
    let outboard = match direction {
        DirectionEntry::Axis(axis) => BoardAxis::from(*axis).dir(),
        DirectionEntry::Vector(vector) => direction_of(*vector).ok_or_else(|| {
            judged.wrong(
                key,
                format!("{vector:?} has no direction"),
                "write a vector that is not zero, or an axis such as \"+z\"",
            )
        })?,
    };
    Ok(Some(DeclaredFace {
        outboard,
        heading: judged.sitting(
            &format!("{key}.heading_standard_deg"),
            face.heading_standard_deg,
        )?,
        lean: judged.sitting(&format!("{key}.lean_standard_deg"), face.lean_standard_deg)?,
    }))
}

fn direction_of(vector: [f64; 3]) -> Option<Dir<Board>> {
    Dir::along(Vec3::from_array(vector))
}

fn windows(judged: &Judged<'_>, entry: &SessionFile) -> Result<Vec<Window>, InputError> {
    let mut windows: Vec<Window> = Vec::new();
    for (index, window) in entry.windows.iter().enumerate() {
        let key = |key: &str| format!("windows[{index}].{key}");
        if window.to_us <= window.from_us {
            return Err(judged.wrong(
                &key("to_us"),
                format!("{} is not after from_us, {}", window.to_us, window.from_us),
                "write the end after the beginning",
            ));
        }
        if let Some(before) = windows.last()
            && window.from_us < before.from.us()
        {
            return Err(judged.wrong(
                &key("from_us"),
                format!(
                    "{} is before {}, where the window before it begins",
                    window.from_us,
                    before.from.us()
                ),
                "write the windows in the order of time",
            ));
        }
        let plate = |side: &str, written: Option<f64>| match written {
            Some(read) if read.abs() > PLATE_LIMIT_DEG => Err(judged.wrong(
                &key(&format!("plate_deg.{side}")),
                format!("{read}° is more than a wheel steers"),
                "write what the plate read, degrees, + to the left",
            )),
            // By gyros alone: the readings stay in the file and out of the solution.
            Some(_) if entry.steer == SteerEntry::Gyro => Ok(None),
            read => Ok(read.map(Angle::from_deg)),
        };
        let read = window.plate_deg.as_ref();
        windows.push(Window {
            from: HostTime::from_us(window.from_us),
            to: HostTime::from_us(window.to_us),
            kind: kind_of(window.kind),
            corner: window.corner.map(|corner| match corner {
                CornerEntry::Left => Side::Left,
                CornerEntry::Right => Side::Right,
            }),
            plates: [
                plate("left", read.and_then(|p| p.left))?,
                plate("right", read.and_then(|p| p.right))?,
            ],
        });
    }
    Ok(windows)
}

const fn kind_of(kind: KindEntry) -> WindowKind {
    match kind {
        KindEntry::Straight => WindowKind::Straight,
        KindEntry::Stop => WindowKind::Stop,
        KindEntry::RunOutStop => WindowKind::RunOutStop,
        KindEntry::Spin => WindowKind::Spin,
        KindEntry::Roll => WindowKind::Roll,
        KindEntry::Sweep => WindowKind::Sweep,
        KindEntry::Move => WindowKind::Move,
        KindEntry::Jacked => WindowKind::Jacked,
    }
}
