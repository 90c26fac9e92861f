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
mod tests {
    use std::io::Write as _;

    use super::*;

    fn lines(count: i64) -> String {
        (0..count).fold("t_us,ax,ay,az,gx,gy,gz,temp\n".to_owned(), |text, n| {
            format!("{text}{},0.01,-0.02,0.99,1,2,180,21.5\n", n * 10_000)
        })
    }

    fn told(text: &[u8]) -> Result<Recording, CsvError> {
        read(text, Path::new("a.csv"))
    }

    #[test]
    fn readings_come_out_in_the_units_of_the_core() {
        let recording = told(lines(200).as_bytes()).unwrap();
        assert_eq!((recording.readings.len(), recording.cut_short), (200, None));
        let reading = recording.readings[3];
        assert_eq!(reading.at.us(), 30_000);
        assert_eq!(reading.accel_g.to_array(), [0.01, -0.02, 0.99]);
        let rate = reading.rate_radps.unwrap().to_array();
        assert!((rate[2] - std::f64::consts::PI).abs() < 1e-12, "{rate:?}");
        assert_eq!(reading.temperature_c, Some(21.5));
    }

    #[test]
    fn columns_are_found_by_name_and_may_be_missing_or_empty() {
        let check = |header: &str, line: &str, gyro: bool, temperature_c: Option<f64>| {
            let text = (0..150).fold(format!("{header}\n"), |text, n| {
                format!("{text}{}\n", line.replace('T', &n.to_string()))
            });
            let recording = told(text.as_bytes()).unwrap();
            let reading = recording.readings[7];
            assert_eq!(reading.accel_g.to_array(), [1.0, 2.0, 3.0], "{header}");
            assert_eq!(reading.rate_radps.is_some(), gyro, "{header}");
            assert_eq!(reading.temperature_c, temperature_c, "{header}");
        };
        check("t_us,ax,ay,az", "T,1,2,3", false, None);
        check("az,ay,ax,t_us", "3,2,1,T", false, None);
        check("t_us, ax, ay, az, volt", "T, 1, 2, 3, -", false, None);
        check(
            "\u{feff}t_us,ax,ay,az,temp",
            "T.0,1,2,3,20",
            false,
            Some(20.0),
        );
        check("t_us,ax,ay,az,gx,gy,gz,temp", "T,1,2,3,,,,", false, None);
        check("t_us,ax,ay,az,gx,gy,gz,temp", "T,1,2,3,0,0,0,", true, None);
        check(
            "# a note\nt_us,ax,ay,az",
            "T,1,2,3\n# on the way",
            false,
            None,
        );
    }

    #[test]
    fn a_repeated_header_and_a_repeated_time_are_passed_over() {
        let text = lines(150).replace(
            "500000,",
            "500000,0,0,1,0,0,0,20\nt_us,ax,ay,az,gx,gy,gz,temp\n500000,",
        );
        let recording = told(text.as_bytes()).unwrap();
        assert_eq!((recording.readings.len(), recording.same_time), (150, 1));
    }

    #[test]
    fn a_last_line_without_an_end_is_left_out_and_told() {
        for tail in [
            "1500000,0.01",
            "1500000,0.01,-0.02,0.99,1,2,3,2",
            "15",
            "1500000,0.0x",
            "\u{0}\u{0}\u{0}",
        ] {
            let recording = told(format!("{}{tail}", lines(150)).as_bytes()).unwrap();
            assert_eq!(recording.readings.len(), 150, "{tail}");
            let cut = Some(CutShort::Line { line: 152 });
            assert_eq!(recording.cut_short, cut, "{tail}");
        }
        let mut torn = lines(150).into_bytes();
        torn.extend(b"1500000,0.\xff\xfe");
        let recording = told(&torn).unwrap();
        assert_eq!(recording.readings.len(), 150);
        assert!(recording.cut_short.is_some());
    }

    #[test]
    fn a_packed_recording_that_ends_early_keeps_what_came() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv.gz");
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
        packer.write_all(lines(20_000).as_bytes()).unwrap();
        let packed = packer.finish().unwrap();
        std::fs::write(&path, &packed).unwrap();
        assert_eq!(read_file(&path).unwrap().readings.len(), 20_000);
        std::fs::write(&path, &packed[..packed.len() / 2]).unwrap();
        let recording = read_file(&path).unwrap();
        assert!(
            recording.readings.len() > 5000,
            "{}",
            recording.readings.len()
        );
        assert!(matches!(recording.cut_short, Some(CutShort::Packed { .. })));
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        let check = |text: String, place: &str| {
            let error = told(text.as_bytes()).unwrap_err().to_string();
            assert!(error.contains(place), "{error} lacks {place}");
        };
        check(String::new(), "a.csv:1");
        check(
            "0,1,2,3\n".repeat(200),
            "a.csv:1: the first line names no columns",
        );
        check("t_us,ax,ay\n".to_owned(), "lacks az");
        check("t_us,ax,ay,az,gx\n".to_owned(), "lacks gy, gz");
        check("t_us;ax;ay;az\n".to_owned(), "lacks t_us, ax, ay, az");
        check("t_us,ax,ay,az,ax\n".to_owned(), "names `ax` twice");
        check(lines(5), "5 readings");
        let at = |from: &str, to: &str| lines(150).replace(from, to);
        check(at("\n700000,0.01,", "\n700000,"), "a.csv:72: 7 fields");
        check(
            at("\n700000,0.01,", "\n700000,o.o1,"),
            "a.csv:72: column ax: `o.o1`",
        );
        check(
            at("\n700000,0.01,", "\n700000,NaN,"),
            "a.csv:72: column ax: `NaN`",
        );
        check(at("\n700000,", "\n7e99,"), "a.csv:72: column t_us: `7e99`");
        check(
            at("\n700000,", "\n600000,"),
            "a.csv:72: column t_us: from 690000 back to 600000",
        );
        check(
            at("\n700000,0.01,-0.02,0.99,1,", "\n700000,0.01,-0.02,0.99,,"),
            "a.csv:72: column gx: ``",
        );
    }

    #[test]
    fn a_file_that_is_not_there_and_a_folder_are_named() {
        let folder = tempfile::tempdir().unwrap();
        for path in [folder.path().join("none.csv"), folder.path().to_path_buf()] {
            let error = read_file(&path).unwrap_err().to_string();
            assert!(error.contains(&*path.to_string_lossy()), "{error}");
        }
    }
}
