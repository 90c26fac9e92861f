//! The way of a sample, to be counted or timed.
//!
//! ```text
//! hot-path whole FAMILY RATE_HZ    runs one stream, for a counter of instructions
//! hot-path frames FAMILY RATE_HZ   the same, as far as readings
//! hot-path time                    ns per sample of every family, the least of several runs
//! ```

use std::process::ExitCode;

use hubplumb_speed::way::{Came, decode, drive};
use hubplumb_speed::worked::worked_ns;

use hubplumb_speed::{Family, Stream, families};

/// Samples that are counted.
const COUNTED: usize = 4000;
/// Samples that are timed, and how often.
const TIMED: usize = 20_000;
const RUNS: usize = 15;

fn least_ns(family: &Family, stream: &Stream, run: fn(&Family, &Stream) -> Came) -> f64 {
    let runs = (0..RUNS).map(|_| {
        let began = worked_ns();
        std::hint::black_box(run(family, stream));
        (worked_ns() - began) / stream.samples as f64
    });
    runs.fold(f64::INFINITY, f64::min)
}

fn time() {
    println!(
        "{:<14}{:>10}{:>10}{:>10}{:>10}",
        "family", "frames", "1 kHz", "1 kHz/8", "100 Hz"
    );
    for family in families::all() {
        let one = family.stream(TIMED, 1000, 1);
        let eight = family.stream(TIMED, 1000, 8);
        let slow = family.stream(TIMED, 100, 1);
        println!(
            "{:<14}{:>10.0}{:>10.0}{:>10.0}{:>10.0}   {:?}",
            family.name,
            least_ns(&family, &one, decode),
            least_ns(&family, &one, drive),
            least_ns(&family, &eight, drive),
            least_ns(&family, &slow, drive),
            drive(&family, &one),
        );
    }
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["time"] => time(),
        [what @ ("whole" | "frames"), family, rate_hz] => {
            let (Some(family), Ok(rate_hz)) = (families::named(family), rate_hz.parse()) else {
                eprintln!("no such family, or no rate");
                return ExitCode::FAILURE;
            };
            let stream = family.stream(COUNTED, rate_hz, 1);
            let run = if *what == "whole" { drive } else { decode };
            println!("{:?}", run(&family, &stream));
        }
        _ => {
            eprintln!("hot-path time | whole FAMILY RATE_HZ | frames FAMILY RATE_HZ");
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}
