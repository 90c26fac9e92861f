//! Carries toe on random cars and prints the tables of `docs/CARRIED.md`.
//!
//! `cargo run --release -p hubplumb-tests --bin carried-study [TRIALS]`

use std::process::ExitCode;

fn main() -> ExitCode {
    let trials = match std::env::args().nth(1).map(|n| n.parse()) {
        None => 300,
        Some(Ok(trials)) if trials >= 3 => trials,
        Some(_) => {
            eprintln!("usage: carried-study [TRIALS], a number of 3 or more; 300 without it");
            return ExitCode::from(2);
        }
    };
    print!("{}", hubplumb_tests::carried::report(trials));
    println!();
    print!("{}", hubplumb_tests::carried::parts(trials / 3));
    ExitCode::SUCCESS
}
