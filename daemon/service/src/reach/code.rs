//! An address as a QR code (ISO/IEC 18004), to be read by a tablet's camera.

use std::fmt::Write as _;

use qrcode::{Color, EcLevel, QrCode};

/// Free modules that the standard wants on every side.
pub(crate) const QUIET: usize = 4;

/// Black on white whatever the terminal's own colours are: a code in light on dark is not read by every camera.
const PAPER: &str = "\u{1b}[38;5;16;48;5;231m";
const PLAIN: &str = "\u{1b}[0m";

/// The modules of a code, without the free ones around it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Code {
    rows: Vec<Vec<bool>>,
}

impl Code {
    /// The code of an address; none for one that is too long for any code.
    pub(crate) fn of(address: &str) -> Option<Self> {
        // Level M: a smear over a seventh of it, or a reflection on the screen, does no harm.
        let code = QrCode::with_error_correction_level(address, EcLevel::M).ok()?;
        let width = code.width();
        let rows = code
            .to_colors()
            .chunks(width)
            .map(|row| row.iter().map(|color| *color == Color::Dark).collect())
            .collect();
        Some(Self { rows })
    }

    /// The rows from the top, dark modules as `1`.
    pub(crate) fn rows(&self) -> Vec<String> {
        let letter = |dark: &bool| if *dark { '1' } else { '0' };
        self.rows
            .iter()
            .map(|row| row.iter().map(letter).collect())
            .collect()
    }

    fn is_dark(&self, row: usize, column: usize) -> bool {
        let at = |index: usize| index.checked_sub(QUIET);
        let module = |row: usize, column: usize| self.rows.get(row)?.get(column).copied();
        at(row)
            .zip(at(column))
            .and_then(|(row, column)| module(row, column))
            .unwrap_or(false)
    }

    /// The code for a terminal: two rows of modules in one row of letters, so that they are about square.
    pub(crate) fn for_terminal(&self) -> String {
        let side = self.rows.len() + 2 * QUIET;
        let mut text = String::new();
        for row in (0..side).step_by(2) {
            text.push_str(PAPER);
            for column in 0..side {
                text.push(
                    match (self.is_dark(row, column), self.is_dark(row + 1, column)) {
                        (false, false) => ' ',
                        (true, false) => '▀',
                        (false, true) => '▄',
                        (true, true) => '█',
                    },
                );
            }
            // A string takes every text.
            let _ = writeln!(text, "{PLAIN}");
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pixels of a module: the decoder looks for shapes, not for single dots.
    const SCALE: usize = 4;

    /// What another library reads in a picture of modules.
    fn decoded(dark: &[Vec<bool>]) -> String {
        let (height, width) = (dark.len(), dark[0].len());
        let mut picture =
            rqrr::PreparedImage::prepare_from_greyscale(width * SCALE, height * SCALE, |x, y| {
                if dark[y / SCALE][x / SCALE] { 0 } else { 255 }
            });
        let grids = picture.detect_grids();
        assert_eq!(grids.len(), 1, "one code in the picture");
        grids[0].decode().unwrap().1
    }

    /// The picture that the letters of the terminal make.
    fn seen(drawn: &str) -> Vec<Vec<bool>> {
        let mut picture = Vec::new();
        for line in drawn.lines() {
            let letters = line
                .strip_prefix(PAPER)
                .unwrap()
                .strip_suffix(PLAIN)
                .unwrap();
            let both = |letter| match letter {
                ' ' => (false, false),
                '▀' => (true, false),
                '▄' => (false, true),
                '█' => (true, true),
                other => panic!("{other:?} is no half block"),
            };
            let (upper, lower) = letters.chars().map(both).unzip();
            picture.extend::<[Vec<bool>; 2]>([upper, lower]);
        }
        picture
    }

    #[test]
    fn what_the_terminal_shows_is_read_as_the_address() {
        for address in [
            "http://192.168.4.20:8710/",
            "https://hubplumb-2.local:8710/",
            "https://[fd00:1234:5678:9abc:def0:1234:5678:9abc]:65535/",
        ] {
            let code = Code::of(address).unwrap();
            assert_eq!(decoded(&seen(&code.for_terminal())), address);
        }
    }

    #[test]
    fn the_rows_are_the_same_code() {
        let code = Code::of("http://192.168.4.20:8710/").unwrap();
        let rows = code.rows();
        assert!(rows.iter().all(|row| row.len() == rows.len()), "a square");
        let mut picture = vec![vec![false; rows.len() + 2 * QUIET]; rows.len() + 2 * QUIET];
        for (y, row) in rows.iter().enumerate() {
            for (x, letter) in row.chars().enumerate() {
                picture[y + QUIET][x + QUIET] = letter == '1';
            }
        }
        assert_eq!(decoded(&picture), "http://192.168.4.20:8710/");
    }

    #[test]
    fn what_no_code_can_hold_has_none() {
        assert_eq!(Code::of(&"x".repeat(5000)), None);
    }
}
