//! Prints `docs/TILT.md`.

use std::process::ExitCode;

use hubplumb_tests::tilt::report;

fn main() -> ExitCode {
    match report::document() {
        Some(text) => {
            print!("{text}");
            ExitCode::SUCCESS
        }
        None => {
            eprintln!("The recordings are not there: see the text of the tests.");
            ExitCode::FAILURE
        }
    }
}
