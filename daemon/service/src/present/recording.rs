//! What is wrong with a recording or a session, and what was left out of it:
//! what happened, what it means, what to do.

use hubplumb_core::session::{Role, SessionError};
use hubplumb_core::side::Side;

use super::solution::role_words;
use super::{side_words, trouble};
use crate::http::views::TroubleView;
use crate::recording::csv_read::CutShort;
use crate::recording::load::{FileRead, Loaded};
use crate::recording::session_file::RoleEntry;
use crate::recording::solution::Told;
use crate::recording::solve::gaps;
use crate::recording::{CsvError, InputError};

/// Why an input cannot be used.
pub fn input_trouble(error: &InputError) -> TroubleView {
    let what = error.to_string();
    let nothing = "Nothing was solved, so that no reading is taken for what it is not.";
    match error {
        InputError::Csv(error) => csv_trouble(error),
        InputError::Unreadable { .. } => trouble(
            "session_unreadable",
            what,
            "Without the session file nobody knows how the boards sat.",
            "Check the path, and that the file may be read.",
        ),
        InputError::Form { .. } => trouble(
            "session_form",
            what,
            nothing,
            "Mend the line; docs/SOLVE.md shows every key, and `hubplumb solve --schema session` prints the schema.",
        ),
        InputError::Value { fix, .. } => trouble("session_value", what, nothing, capital(fix)),
        InputError::Calibration { .. } => trouble(
            "calibration_file",
            what,
            nothing,
            "Mend the calibration file, or write its numbers into the session file.",
        ),
        InputError::NoSession { .. } => trouble(
            "no_session",
            what,
            "A folder of recordings is solved by the session file in it.",
            "Name the session file with --session, or one recording instead of the folder.",
        ),
        InputError::NoSide { .. } => trouble(
            "no_side",
            what,
            "Camber, inclination and steer have other signs left and right.",
            "Add --side left or --side right, or a session file with --session.",
        ),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    let mut text: String = first.into_iter().flatten().chain(letters).collect();
    text.push('.');
    text
}

fn csv_trouble(error: &CsvError) -> TroubleView {
    let what = error.to_string();
    let columns = "Write a header line such as t_us,ax,ay,az,gx,gy,gz,temp (µs, g, °/s, °C); gyro and temperature may be missing.";
    let unknown = "What the readings are of is unknown.";
    match error {
        CsvError::Unreadable { .. } => trouble(
            "recording_unreadable",
            what,
            "There are no readings to work with.",
            "Check the path, and that the file may be read and is whole.",
        ),
        CsvError::NoHeader { .. } => trouble("no_header", what, unknown, columns),
        CsvError::MissingColumns { .. } => trouble("missing_columns", what, unknown, columns),
        CsvError::TwiceNamed { .. } => trouble("column_twice", what, unknown, columns),
        CsvError::Fields { .. } => trouble(
            "field_count",
            what,
            "Which column each of its numbers belongs to is unknown.",
            "Mend the line or take it out.",
        ),
        CsvError::NotANumber { .. } => trouble(
            "not_a_number",
            what,
            "The reading of that line is unknown.",
            "Mend the line or take it out; numbers are written with a point, without units.",
        ),
        CsvError::NotText { .. } => trouble(
            "not_text",
            what,
            "The file is damaged there, or it is no table.",
            "Take the line out; a file packed by gzip is named .gz.",
        ),
        CsvError::TimeBackwards { .. } => trouble(
            "time_backwards",
            what,
            "The board began anew, or two recordings were joined: no turn can be followed across that.",
            "Cut the file there and solve the part that holds the session.",
        ),
        CsvError::TooFew { .. } => trouble(
            "too_few_readings",
            what,
            "That is no session.",
            "Record the whole session, from before the first rest to after the last.",
        ),
    }
}

/// Why a session cannot be solved at all.
pub fn session_trouble(error: &SessionError) -> TroubleView {
    match *error {
        SessionError::Boards { side, found } => trouble(
            "boards",
            format!(
                "{found} boards are said to be on the {} hub.",
                side_words(side)
            ),
            "A hub has one board at most, and one of the hubs must have one.",
            "Correct the roles of the boards in the session file.",
        ),
        SessionError::Empty { role, found } => trouble(
            "empty",
            format!(
                "The {} recording holds {found} usable readings.",
                words(role)
            ),
            "That is no session.",
            "Record the whole session, from before the first rest to after the last.",
        ),
        SessionError::TimeBackwards {
            role,
            before_us,
            after_us,
        } => trouble(
            "time_backwards",
            format!(
                "The {} recording goes from {before_us} µs back to {after_us} µs.",
                words(role)
            ),
            "No turn can be followed across that.",
            "Cut the file there and solve the part that holds the session.",
        ),
        SessionError::ClockNotFound { role, agreement } => trouble(
            "clock_not_found",
            format!(
                "The movements of the {} board fit the windows at no shift of its clock within 4 s (best agreement {agreement:.2}, 0.40 is the least).",
                words(role)
            ),
            "When each of its readings was taken is unknown.",
            "Check that file and windows are of the same session; or leave all windows out, and they are found from the movements.",
        ),
        SessionError::NoStraight => trouble(
            "no_straight",
            "No swing that begins with a rest straight ahead was found.",
            "All angles count from that rest.",
            "Rest for some seconds with the wheels straight ahead before and after steering; if the windows are named, name the first of them straight.",
        ),
        SessionError::NoSpindle { side } => trouble(
            "no_spindle",
            format!(
                "The {} wheel was not turned on its bearing, and no face of its board was declared.",
                side_words(side)
            ),
            "How the board sits on the hub is unknown.",
            "Declare the face (--outboard +z, or `mount` in the session file), or record turns of the jacked wheel as well. Support the car on stands before you touch a raised wheel, and follow the maker's instructions.",
        ),
        SessionError::ShortArc {
            side,
            arc_deg,
            least_deg,
        } => trouble(
            "short_arc",
            format!(
                "The {} wheel was turned through {arc_deg:.0}° on its bearing; {least_deg:.0}° is the least.",
                side_words(side)
            ),
            "So small a turn does not show where the spindle points.",
            "Turn the raised wheel once round in four or more steps, with the car on stands; or declare the face of the board.",
        ),
    }
}

const fn words(role: Role) -> &'static str {
    match role {
        Role::Hub(Side::Left) => role_words(RoleEntry::Left),
        Role::Hub(Side::Right) => role_words(RoleEntry::Right),
        Role::Body => role_words(RoleEntry::Body),
    }
}

/// What was left out of a session's readings, and why.
pub fn notes(loaded: &Loaded) -> Vec<Told> {
    let mut notes = Vec::new();
    for (read, board) in loaded.files.iter().zip(&loaded.session.boards) {
        notes.extend(cut_short(read).map(Told::from));
        notes.extend(saturated(read).map(Told::from));
        if read.same_time > 0 {
            notes.push(Told::from(trouble(
                "same_time",
                format!(
                    "{} readings of {} have the time of the one before and were left out.",
                    read.same_time,
                    read.file.display()
                ),
                "A clock that is too coarse, or lines written twice.",
                "Let the board send microseconds.",
            )));
        }
        let lengths: Vec<i64> = gaps(&board.samples)
            .map(|(_, length_us)| length_us)
            .collect();
        if let Some(longest) = lengths.iter().max() {
            notes.push(Told::from(trouble(
                "gaps",
                if lengths.len() == 1 {
                    format!(
                        "{} has a gap of {:.1} s.",
                        read.file.display(),
                        *longest as f64 * 1e-6
                    )
                } else {
                    format!(
                        "{} has {} gaps, the longest {:.1} s.",
                        read.file.display(),
                        lengths.len(),
                        *longest as f64 * 1e-6
                    )
                },
                "A gap in a rest shortens it; a gap while a wheel turns refuses the wheel.",
                "Check the board's cable and power.",
            )));
        }
    }
    if loaded.lost_readings > 0 {
        notes.push(Told::from(trouble(
            "lost_readings",
            format!(
                "{} readings were lost while they were recorded.",
                loaded.lost_readings
            ),
            "The disk was too slow, so that the recording is not all that the swing saw.",
            "Record to a faster disk.",
        )));
    }
    notes
}

fn cut_short(read: &FileRead) -> Option<TroubleView> {
    let file = read.file.display();
    Some(match read.cut_short? {
        CutShort::Line { line } => trouble(
            "last_line_cut",
            format!("Line {line} of {file}, the last one, has no end and was left out."),
            "The recording stopped in the middle of a line: a cable was pulled or power was lost. Everything before it counts.",
            "Nothing, if the swing was over by then.",
        ),
        CutShort::Packed { line } => trouble(
            "packed_file_cut",
            format!("{file} ends early, after line {line}."),
            "Packing was not finished. Everything before it counts.",
            "Pack the recording again if you still have it.",
        ),
    })
}

fn saturated(read: &FileRead) -> Option<TroubleView> {
    let (first, last) = (read.saturated.first()?, read.saturated.last()?);
    Some(trouble(
        "saturated",
        format!(
            "{} readings of {} between {:.1} s and {:.1} s were at the end of the chip's range and were left out.",
            read.saturated.len(),
            read.file.display(),
            first.us() as f64 * 1e-6,
            last.us() as f64 * 1e-6
        ),
        "The board was knocked, or turned faster than it can read.",
        "Move the wheel more gently.",
    ))
}
