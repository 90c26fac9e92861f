//! Reading a recording: a table of readings of one board, line by line.
//!
//! Columns are found by the names in the header: `t_us`, `ax`, `ay`, `az` in g
//! and, where there are, `gx`, `gy`, `gz` in °/s and `temp` in °C. Others are
//! passed over. A file may be packed by gzip. A cable that was pulled and
//! power that was lost leave a last line without an end: it is left out, told,
//! and the rest counts.

use std::fs::File;
use std::io::{self, BufReader, Read};
use std::path::{Path, PathBuf};

use csv::{ErrorKind, StringRecord};
use flate2::read::MultiGzDecoder;
use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::RawSample;
use hubplumb_core::time::HostTime;

use super::csv_error::CsvError;

/// Names of the columns, in the order they are written.
pub const COLUMNS: [&str; 8] = ["t_us", "ax", "ay", "az", "gx", "gy", "gz", "temp"];
/// Fewer readings are no recording.
const LEAST_READINGS: usize = 100;

/// How a recording ended before its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutShort {
    /// The last line has no end.
    Line {
        /// Which.
        line: u64,
    },
    /// The gzip stream ends early.
    Packed {
        /// Last line that could be read.
        line: u64,
    },
}

/// What a recording holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// Where it was read from.
    pub file: PathBuf,
    /// Its readings, in order of time.
    pub readings: Vec<RawSample>,
    /// Readings with the time of the one before, left out.
    pub same_time: usize,
    /// How it ended, where it did not end with a line.
    pub cut_short: Option<CutShort>,
}

/// Reads a recording from a file.
pub fn read_file(file: &Path) -> Result<Recording, CsvError> {
    let unreadable = |source| CsvError::Unreadable {
        file: file.to_path_buf(),
        source,
    };
    let opened = File::open(file).map_err(unreadable)?;
    if opened.metadata().map_err(unreadable)?.is_dir() {
        return Err(unreadable(io::Error::from(io::ErrorKind::IsADirectory)));
    }
    let opened = BufReader::new(opened);
    if file.extension().is_some_and(|extension| extension == "gz") {
        read(MultiGzDecoder::new(opened), file)
    } else {
        read(opened, file)
    }
}

/// Reads a recording from anything; `file` names it in errors.
pub fn read(from: impl Read, file: &Path) -> Result<Recording, CsvError> {
    let mut lines = Lines::open(from, file)?;
    let mut recording = Recording {
        file: file.to_path_buf(),
        readings: Vec::new(),
        same_time: 0,
        cut_short: None,
    };
    // A line counts when the next one, or the end of a whole file, shows that it has an end.
    let mut before = StringRecord::new();
    let mut record = StringRecord::new();
    loop {
        let more = match lines.reader.read_record(&mut record) {
            Ok(more) => more,
            Err(error) => {
                let line = before.position().map_or(1, csv::Position::line);
                if !is_early_end(&error) {
                    // The last line of a file that lost power may be anything.
                    if lines.ends_within_a_line() {
                        lines.take(&before, &mut recording)?;
                        recording.cut_short = Some(CutShort::Line { line: line + 1 });
                        break;
                    }
                    return Err(lines.told(error));
                }
                recording.cut_short = Some(CutShort::Packed { line });
                false
            }
        };
        if !more && recording.cut_short.is_none() && lines.reader.get_ref().last != Some(b'\n') {
            let line = before.position().map_or(1, csv::Position::line);
            recording.cut_short = Some(CutShort::Line { line });
            break;
        }
        lines.take(&before, &mut recording)?;
        if !more {
            break;
        }
        std::mem::swap(&mut before, &mut record);
    }
    let found = recording.readings.len();
    if found < LEAST_READINGS {
        return Err(CsvError::TooFew {
            file: file.to_path_buf(),
            found,
            least: LEAST_READINGS,
        });
    }
    Ok(recording)
}

fn is_early_end(error: &csv::Error) -> bool {
    matches!(error.kind(), ErrorKind::Io(io) if io.kind() == io::ErrorKind::UnexpectedEof)
}

/// Remembers the last byte that came, which tells whether the last line has an end.
struct LastByte<R> {
    from: R,
    last: Option<u8>,
    ended: bool,
}

impl<R: Read> Read for LastByte<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.from.read(buffer)?;
        if count == 0 {
            self.ended = !buffer.is_empty();
        } else {
            self.last = Some(buffer[count - 1]);
        }
        Ok(count)
    }
}

struct Lines<'a, R> {
    reader: csv::Reader<LastByte<R>>,
    file: &'a Path,
    header: StringRecord,
    /// Where each of [`COLUMNS`] stands.
    places: [Option<usize>; 8],
}

impl<'a, R: Read> Lines<'a, R> {
    fn open(from: R, file: &'a Path) -> Result<Self, CsvError> {
        let from = LastByte {
            from,
            last: None,
            ended: false,
        };
        let reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            // Noise on a line may hold a quotation mark, which must not swallow the lines after it.
            .quoting(false)
            .comment(Some(b'#'))
            .trim(csv::Trim::All)
            .from_reader(from);
        let mut lines = Self {
            reader,
            file,
            header: StringRecord::new(),
            places: [None; 8],
        };
        let mut header = StringRecord::new();
        lines
            .reader
            .read_record(&mut header)
            .map_err(|error| lines.told(error))?;
        lines.header = header
            .iter()
            .map(|name| name.trim_start_matches('\u{feff}').trim().to_owned())
            .collect();
        lines.name_columns(header.position().map_or(1, csv::Position::line))?;
        Ok(lines)
    }

    fn name_columns(&mut self, line: u64) -> Result<(), CsvError> {
        let file = || self.file.to_path_buf();
        let found = || shortened(&self.header.iter().collect::<Vec<_>>().join(","));
        if self
            .header
            .iter()
            .all(|name| name.is_empty() || name.parse::<f64>().is_ok())
        {
            return Err(CsvError::NoHeader {
                file: file(),
                found: found(),
            });
        }
        for (place, column) in self.places.iter_mut().zip(COLUMNS) {
            let mut at = self
                .header
                .iter()
                .enumerate()
                .filter(|(_, name)| *name == column);
            *place = at.next().map(|(index, _)| index);
            if at.next().is_some() {
                return Err(CsvError::TwiceNamed {
                    file: file(),
                    line,
                    column: column.to_owned(),
                });
            }
        }
        let has_gyro = self.places[4..7].iter().any(Option::is_some);
        let needed = if has_gyro { 0..7 } else { 0..4 };
        let missing: Vec<&'static str> = needed
            .filter(|index| self.places[*index].is_none())
            .map(|index| COLUMNS[index])
            .collect();
        if missing.is_empty() {
            Ok(())
        } else {
            Err(CsvError::MissingColumns {
                file: file(),
                line,
                missing,
                found: found(),
            })
        }
    }

    /// Takes a line into the recording; an empty record is none.
    fn take(&self, record: &StringRecord, recording: &mut Recording) -> Result<(), CsvError> {
        if record.is_empty() || record == &self.header {
            // Boards repeat their header for a listener that comes late.
            return Ok(());
        }
        let line = record.position().map_or(0, csv::Position::line);
        if record.len() != self.header.len() {
            return Err(CsvError::Fields {
                file: self.file.to_path_buf(),
                line,
                found: record.len(),
                expected: self.header.len(),
            });
        }
        let reading = self.reading(record, line)?;
        if let Some(last) = recording.readings.last() {
            if reading.at < last.at {
                return Err(CsvError::TimeBackwards {
                    file: self.file.to_path_buf(),
                    line,
                    before_us: last.at.us(),
                    found_us: reading.at.us(),
                });
            }
            if reading.at == last.at {
                recording.same_time += 1;
                return Ok(());
            }
        }
        recording.readings.push(reading);
        Ok(())
    }

    fn reading(&self, record: &StringRecord, line: u64) -> Result<RawSample, CsvError> {
        let not_a_number = |column: usize| CsvError::NotANumber {
            file: self.file.to_path_buf(),
            line,
            column: COLUMNS[column],
            found: shortened(self.field(record, column)),
        };
        let number = |column: usize| {
            let read: Result<f64, _> = self.field(record, column).parse();
            read.ok()
                .filter(|number| number.is_finite())
                .ok_or_else(|| not_a_number(column))
        };
        let three = |first: usize| {
            Ok::<_, CsvError>(Vec3::new(
                number(first)?,
                number(first + 1)?,
                number(first + 2)?,
            ))
        };
        let no_gyro = (4..7).all(|column| self.field(record, column).is_empty());
        Ok(RawSample {
            at: HostTime::from_us(time_us(self.field(record, 0)).ok_or_else(|| not_a_number(0))?),
            accel_g: three(1)?,
            rate_radps: if no_gyro {
                None
            } else {
                let rate_dps = three(4)?.to_array();
                Some(Vec3::from_array(rate_dps.map(f64::to_radians)))
            },
            temperature_c: if self.field(record, 7).is_empty() {
                None
            } else {
                Some(number(7)?)
            },
        })
    }

    /// The field of a column; empty where there is no such column.
    fn field<'r>(&self, record: &'r StringRecord, column: usize) -> &'r str {
        self.places[column]
            .and_then(|place| record.get(place))
            .unwrap_or_default()
    }

    fn ends_within_a_line(&self) -> bool {
        let from = self.reader.get_ref();
        from.ended && from.last != Some(b'\n')
    }

    fn told(&self, error: csv::Error) -> CsvError {
        let file = self.file.to_path_buf();
        let line = error
            .position()
            .map_or_else(|| self.reader.position().line(), csv::Position::line);
        match error.into_kind() {
            ErrorKind::Io(source) => CsvError::Unreadable { file, source },
            _ => CsvError::NotText { file, line },
        }
    }
}

/// Microseconds, whole or with a fraction.
#[expect(
    clippy::cast_possible_truncation,
    reason = "bounded by a century, which a float holds to the microsecond"
)]
fn time_us(written: &str) -> Option<i64> {
    const CENTURY_US: f64 = 3.2e15;
    written.parse().ok().or_else(|| {
        let us: f64 = written.parse().ok()?;
        (us.is_finite() && us.abs() < CENTURY_US).then_some(us.round() as i64)
    })
}

/// As much of a text as a message has room for.
fn shortened(text: &str) -> String {
    const ROOM: usize = 60;
    if text.chars().count() <= ROOM {
        text.to_owned()
    } else {
        text.chars().take(ROOM).chain("…".chars()).collect()
    }
}

#[cfg(test)]
mod tests;
