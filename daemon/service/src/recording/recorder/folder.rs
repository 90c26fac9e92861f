//! The folder of one recorded swing.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write as _};
use std::path::{Path, PathBuf};

use hubplumb_core::reading::RawSample;
use time::OffsetDateTime;
use time::macros::format_description;

use super::super::SESSION_FILE;
use super::super::csv_read::COLUMNS;
use super::super::session_file::{RoleEntry, SessionFile};

/// Swings that began within one second, at most.
const SAME_SECOND: u32 = 9;

/// Name of a board's table.
pub(super) const fn table_name(role: RoleEntry) -> &'static str {
    match role {
        RoleEntry::Left => "left.csv",
        RoleEntry::Right => "right.csv",
        RoleEntry::Body => "body.csv",
    }
}

/// A folder that is being written.
#[derive(Debug)]
pub(super) struct SwingFolder {
    pub(super) path: PathBuf,
    pub(super) began: OffsetDateTime,
    tables: Vec<Table>,
}

#[derive(Debug)]
struct Table {
    role: RoleEntry,
    file: BufWriter<File>,
    readings: usize,
}

impl SwingFolder {
    /// Makes the folder of a swing that begins now.
    pub(super) fn create(
        parent: &Path,
        run: u64,
        roles: impl Iterator<Item = RoleEntry>,
    ) -> io::Result<Self> {
        let began = OffsetDateTime::now_utc();
        let name = began
            .format(format_description!(
                "[year]-[month]-[day]T[hour][minute][second]Z"
            ))
            .map_err(io::Error::other)?;
        fs::create_dir_all(parent)?;
        let path = new_folder(&parent.join(format!("{name}-swing-{run}")))?;
        let tables = roles
            .map(|role| {
                let mut file = BufWriter::new(File::create(path.join(table_name(role)))?);
                writeln!(file, "{}", COLUMNS.join(","))?;
                Ok(Table {
                    role,
                    file,
                    readings: 0,
                })
            })
            .collect::<io::Result<_>>()?;
        Ok(Self {
            path,
            began,
            tables,
        })
    }

    /// Adds a reading to the table of its board.
    pub(super) fn add(&mut self, role: RoleEntry, reading: &RawSample) -> io::Result<()> {
        let Some(table) = self.tables.iter_mut().find(|table| table.role == role) else {
            return Ok(());
        };
        table.readings += 1;
        let file = &mut table.file;
        let [ax, ay, az] = reading.accel_g.to_array().map(|g| rounded(g, 1e8));
        write!(file, "{},{ax},{ay},{az},", reading.at.us())?;
        match reading.rate_radps {
            Some(rate) => {
                let [gx, gy, gz] = rate.to_array().map(|r| rounded(r.to_degrees(), 1e7));
                write!(file, "{gx},{gy},{gz},")?;
            }
            None => write!(file, ",,,")?,
        }
        match reading.temperature_c {
            Some(temperature_c) => writeln!(file, "{}", rounded(temperature_c, 1e4)),
            None => writeln!(file),
        }
    }

    /// Readings of a board so far.
    pub(super) fn readings(&self, role: RoleEntry) -> usize {
        self.tables
            .iter()
            .find(|table| table.role == role)
            .map_or(0, |table| table.readings)
    }

    /// Hands what was added to the system, which keeps it when the daemon is killed.
    pub(super) fn flush(&mut self) -> io::Result<()> {
        self.tables
            .iter_mut()
            .try_for_each(|table| table.file.flush())
    }

    /// Replaces the session file as a whole.
    pub(super) fn write_session(&self, session: &SessionFile) -> io::Result<()> {
        let (new, old) = (
            self.path.join("session.json.new"),
            self.path.join(SESSION_FILE),
        );
        let mut file = File::create(&new)?;
        let mut text = serde_json::to_string_pretty(session).map_err(io::Error::other)?;
        text.push('\n');
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::rename(new, old)
    }

    /// Sees everything onto the disk.
    pub(super) fn close(mut self) -> io::Result<()> {
        self.flush()?;
        self.tables
            .iter()
            .try_for_each(|table| table.file.get_ref().sync_all())
    }
}

fn new_folder(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_path_buf();
    for again in 2..=SAME_SECOND {
        match fs::create_dir(&path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            made => return made.map(|()| path),
        }
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let name = name.split('.').next().unwrap_or_default().to_owned();
        path.set_file_name(format!("{name}.{again}"));
    }
    Err(io::Error::from(io::ErrorKind::AlreadyExists))
}

/// A number without the digits that a change of units leaves behind; far finer than any chip's step.
fn rounded(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit
}

#[cfg(test)]
mod tests {
    use hubplumb_core::frames::Vec3;
    use hubplumb_core::time::HostTime;

    use super::*;
    use crate::recording::csv_read;

    #[test]
    fn a_table_is_read_back_as_it_was_written() {
        let parent = tempfile::tempdir().unwrap();
        let mut folder = SwingFolder::create(
            parent.path(),
            3,
            [RoleEntry::Left, RoleEntry::Body].into_iter(),
        )
        .unwrap();
        let reading = |n: i64, gyro: bool| RawSample {
            at: HostTime::from_us(n * 10_000),
            accel_g: Vec3::new(0.1 + n as f64 * 1e-7, -0.2, 0.97),
            rate_radps: gyro.then(|| Vec3::new(0.1_f64.to_radians(), 0.0, -1.5)),
            temperature_c: gyro.then_some(21.25),
        };
        for n in 0..120 {
            folder.add(RoleEntry::Left, &reading(n, true)).unwrap();
            folder.add(RoleEntry::Body, &reading(n, false)).unwrap();
            folder.add(RoleEntry::Right, &reading(n, true)).unwrap();
        }
        assert_eq!(folder.readings(RoleEntry::Left), 120);
        assert_eq!(folder.readings(RoleEntry::Right), 0);
        let path = folder.path.clone();
        folder.close().unwrap();
        for (role, gyro) in [(RoleEntry::Left, true), (RoleEntry::Body, false)] {
            let read = csv_read::read_file(&path.join(table_name(role))).unwrap();
            assert_eq!(read.cut_short, None);
            for (n, is) in read.readings.iter().enumerate() {
                let should = reading(i64::try_from(n).unwrap(), gyro);
                assert_eq!((is.at, is.temperature_c), (should.at, should.temperature_c));
                assert!((is.accel_g - should.accel_g).norm() < 2e-8);
                let off = is.rate_radps.zip(should.rate_radps);
                assert!(off.is_none_or(|(is, should)| (is - should).norm() < 2e-9));
                assert_eq!(is.rate_radps.is_some(), gyro);
            }
        }
    }

    #[test]
    fn swings_of_one_second_get_folders_of_their_own() {
        let parent = tempfile::tempdir().unwrap();
        let wanted = parent.path().join("a");
        let made: Vec<PathBuf> = (0..3).map(|_| new_folder(&wanted).unwrap()).collect();
        assert!(made[0] != made[1] && made[1] != made[2], "{made:?}");
    }
}
