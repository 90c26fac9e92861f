//! Prints `docs/TILT.md`.

use std::process::ExitCode;

use hubplumb_tests::tilt::report;

fn main() -> ExitCode {
    if let Some(text) = report::document() {
        print!("{text}");
        ExitCode::SUCCESS
    } else {
        eprintln!("the cuts of BROAD are not beside the checkout, in shared/data/broad");
        ExitCode::FAILURE
    }
}
