//! Measures random cars and prints `docs/VALIDATION.md`.
//!
//! `cargo run --release -p hubplumb-tests --bin measured-errors [CARS] > docs/VALIDATION.md`

use std::process::ExitCode;

fn main() -> ExitCode {
    let cars = match std::env::args().nth(1).map(|n| n.parse()) {
        None => 1000,
        Some(Ok(cars)) if cars >= 30 => cars,
        Some(_) => {
            eprintln!("usage: measured-errors [CARS], a number of 30 or more; 1000 without it");
            return ExitCode::from(2);
        }
    };
    print!("{}", hubplumb_tests::measured::report(cars));
    ExitCode::SUCCESS
}
