//! Disk, clock, and programs that take ports.

use std::path::{Path, PathBuf};

use nix::sys::statvfs::statvfs;
use time::format_description::well_known::Rfc3339;
use time::{Duration, OffsetDateTime};

use super::check::{Check, told};
use crate::link::grabbers as found_grabbers;
use crate::present::grabber_trouble;

/// A visit with its recordings takes some megabytes; below this the next may not fit.
const LEAST_ROOM_MB: u64 = 50;
/// Below this a journal of an afternoon may not fit.
const SCARCE_ROOM_MB: u64 = 500;

/// The program is younger than this: a clock that stands before it was never set.
const WRITTEN_IN: i32 = 2026;
/// Clocks of machines without a battery jump when they find the time; less than this is that.
const MAY_DIFFER: Duration = Duration::hours(1);

/// Programs that are known to take ports.
pub(super) fn grabbers() -> Vec<Check> {
    let found = found_grabbers();
    let noted = found
        .iter()
        .map(|holder| Check::noted("other programs", grabber_trouble(holder)));
    noted.collect()
}

/// Room on the disk of the store.
pub(super) fn room(folder: Option<&Path>) -> Check {
    const NAME: &str = "disk";
    let Some(folder) = folder else {
        return Check::left_out(NAME, "There is no folder to keep anything in.");
    };
    let there = nearest(folder);
    match statvfs(&there) {
        Ok(disk) => {
            let free = disk.blocks_available().saturating_mul(disk.fragment_size());
            judge_room(&there, free / 1_000_000)
        }
        Err(error) => Check::left_out(NAME, format!("{}: {error}", there.display())),
    }
}

/// The folder, or what of the way to it is there.
pub(super) fn nearest(folder: &Path) -> PathBuf {
    let there = folder.ancestors().find(|part| part.exists());
    there.map_or_else(|| PathBuf::from("."), Path::to_owned)
}

fn judge_room(folder: &Path, free_mb: u64) -> Check {
    const NAME: &str = "disk";
    let what = format!("{free_mb} MB are free at {}.", folder.display());
    if free_mb < LEAST_ROOM_MB {
        return Check::wrong(
            NAME,
            told(
                "disk_full",
                what,
                "The next visit may not fit: what cannot be written is refused, and is lost when the daemon ends.",
                "Make room on that disk, or start with `--store FOLDER` on another.",
            ),
        );
    }
    if free_mb < SCARCE_ROOM_MB {
        return Check::noted(
            NAME,
            told(
                "disk_scarce",
                what,
                "Visits fit; a journal of an afternoon may not.",
                "Make room before you use `--journal`, or lower `--journal-limit`.",
            ),
        );
    }
    Check::well(NAME, what)
}

/// Is the clock where it can be? Visits are dated by it, and calibrations age by it.
pub(super) fn clock(newest_at: Option<&str>) -> Check {
    let newest = newest_at.and_then(|at| OffsetDateTime::parse(at, &Rfc3339).ok());
    judge_clock(OffsetDateTime::now_utc(), newest)
}

fn judge_clock(now: OffsetDateTime, newest: Option<OffsetDateTime>) -> Check {
    const NAME: &str = "clock";
    const REMEDY: &str = "Set the clock, best by the network (`timedatectl set-ntp true`); a machine without a battery for its clock needs it after every start.";
    let written = |at: OffsetDateTime| {
        at.replace_nanosecond(0)
            .unwrap_or(at)
            .format(&Rfc3339)
            .unwrap_or_default()
    };
    if now.year() < WRITTEN_IN {
        return Check::wrong(
            NAME,
            told(
                "clock_unset",
                format!(
                    "The clock stands at {}, before this program was written.",
                    written(now)
                ),
                "Visits get a wrong date, calibrations a wrong age, and certificates are not valid yet.",
                REMEDY,
            ),
        );
    }
    match newest {
        Some(newest) if newest > now + MAY_DIFFER => Check::wrong(
            NAME,
            told(
                "clock_behind",
                format!(
                    "The clock stands at {}, and the newest entry of a visit is of {}.",
                    written(now),
                    written(newest)
                ),
                "The clock is behind now, or was ahead then: visits are not in order, and calibrations get a wrong age.",
                REMEDY,
            ),
        ),
        _ => Check::well(NAME, format!("It stands at {}.", written(now))),
    }
}

#[cfg(test)]
mod tests {
    use time::macros::datetime;

    use super::super::check::State;
    use super::*;

    #[test]
    fn room_is_judged_by_what_is_kept() {
        for (free_mb, state) in [
            (0, State::Wrong),
            (49, State::Wrong),
            (50, State::Note),
            (499, State::Note),
            (500, State::Well),
        ] {
            assert_eq!(
                judge_room(Path::new("/"), free_mb).state,
                state,
                "{free_mb}"
            );
        }
    }

    #[test]
    fn the_clock_is_judged_by_the_program_and_by_what_is_stored() {
        let now = datetime!(2026-06-01 12:00 UTC);
        for (now, newest, code) in [
            (now, None, None),
            (now, Some(now - Duration::days(3)), None),
            (now, Some(now + Duration::minutes(59)), None),
            (now, Some(now + Duration::minutes(61)), Some("clock_behind")),
            (datetime!(1970-01-01 0:03 UTC), None, Some("clock_unset")),
        ] {
            let found = judge_clock(now, newest).trouble;
            let found = found.as_ref().map(|trouble| trouble.code.as_str());
            assert_eq!(found, code, "{now} {newest:?}");
        }
    }

    #[test]
    fn a_folder_that_is_not_there_is_looked_for_above() {
        let folder = tempfile::tempdir().unwrap();
        let deep = folder.path().join("a/b");
        assert_eq!(nearest(&deep), folder.path());
        assert_eq!(nearest(Path::new("a/b/c-that-is-nowhere")), Path::new("."));
    }
}
