//! Random faults for hours: `fault-run --hours H --seed S`, or one shift of a seed that failed
//! again: `fault-run --seed S --shifts 1`.

#![expect(
    clippy::expect_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a program for developers; counts are small"
)]

mod ear;
mod judge;
mod line;
mod report;
mod shift;

use std::process::ExitCode;

use hubplumb_sim::FaultName;
use judge::Verdict;
use shift::{SHIFT_S, Shift};

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let (mut seed, mut shifts, mut only, mut sides) = (1_u64, 6_u64, None, false);
    while let Some(option) = arguments.next() {
        let value = arguments.next().unwrap_or_default();
        let understood = match option.as_str() {
            "--seed" => value.parse().map(|given| seed = given).is_ok(),
            "--shifts" => value.parse().map(|given| shifts = given).is_ok(),
            "--hours" => value
                .parse::<f64>()
                .map(|hours| shifts = (hours * 3600.0 / SHIFT_S).ceil() as u64)
                .is_ok(),
            "--only" if value == "sides" => {
                sides = true;
                true
            }
            "--only" => {
                only = FaultName::ALL
                    .into_iter()
                    .find(|name| name.as_str() == value);
                only.is_some()
            }
            _ => false,
        };
        if !understood {
            eprintln!("fault-run [--seed N] [--hours H | --shifts N] [--only KIND | --only sides]");
            return ExitCode::from(2);
        }
    }
    let mut all = Verdict::default();
    let mut memory_mb = Vec::new();
    for number in 0..shifts {
        let shift = if sides {
            Shift::swapped(seed + number)
        } else {
            Shift::of(seed + number, only)
        };
        let verdict = shift.play();
        memory_mb.push(report::resident_mb());
        for broken in &verdict.broken {
            eprintln!(
                "{broken}\n  again: cargo run -p hubplumb-tests --example fault-run -- --seed {} --shifts 1",
                shift.seed
            );
        }
        eprintln!(
            "seed {}: {} over {:?}, {} findings, worst {:.2} u, worst camber {:.2} u, {:.0} MB",
            shift.seed,
            shift.format,
            shift.joined,
            verdict.findings,
            verdict.worst_finding,
            verdict.worst_camber,
            memory_mb.last().copied().unwrap_or(0.0),
        );
        all.add(verdict);
    }
    println!("{}", report::table(seed, shifts, &all, &memory_mb));
    if all.broken.is_empty() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
