//! Judging the numbers of a session file.

use std::path::Path;

use hubplumb_core::angle::Angle;
use time::Date;
use time::macros::format_description;

use super::session_error::InputError;

/// A session file that is being judged.
pub(super) struct Judged<'a> {
    /// Names it in errors.
    pub(super) file: &'a Path,
}

impl Judged<'_> {
    pub(super) fn wrong(&self, key: &str, what: String, fix: &'static str) -> InputError {
        InputError::Value {
            file: self.file.to_path_buf(),
            key: key.to_owned(),
            what,
            fix,
        }
    }

    /// A one-sigma angle.
    pub(super) fn standard(&self, key: &str, written_deg: f64) -> Result<Angle, InputError> {
        self.standard_to(10.0, key, written_deg)
    }

    /// One sigma of how a board sits: nearly unknown where the wheel was turned.
    pub(super) fn sitting(&self, key: &str, written_deg: f64) -> Result<Angle, InputError> {
        self.standard_to(30.0, key, written_deg)
    }

    fn standard_to(&self, most_deg: f64, key: &str, written_deg: f64) -> Result<Angle, InputError> {
        if (0.0..=most_deg).contains(&written_deg) {
            Ok(Angle::from_deg(written_deg))
        } else {
            Err(self.wrong(
                key,
                format!("{written_deg} is outside 0 to {most_deg} degrees"),
                "write one sigma in degrees, within that",
            ))
        }
    }

    /// A small angle of floor or toe.
    pub(super) fn small(&self, key: &str, written_deg: f64) -> Result<Angle, InputError> {
        if (-10.0..=10.0).contains(&written_deg) {
            Ok(Angle::from_deg(written_deg))
        } else {
            Err(self.wrong(
                key,
                format!("{written_deg} is outside -10 to 10 degrees"),
                "write an angle of -10 to 10 degrees",
            ))
        }
    }
}

/// The day of a day or of a time in UTC.
pub(super) fn day(judged: &Judged<'_>, key: &str, written: &str) -> Result<Date, InputError> {
    let day = written.split('T').next().unwrap_or(written);
    Date::parse(day, format_description!("[year]-[month]-[day]")).map_err(|error| {
        judged.wrong(
            key,
            format!("`{written}` is no day ({error})"),
            "write it as in 2026-05-30",
        )
    })
}
