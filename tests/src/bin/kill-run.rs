//! Kills the daemon in whole visits: `kill-run --kills N --seed S` prints what came of it, as
//! docs/reliability/kills.md has it. A loss ends it with the seed and the life.

use std::process::ExitCode;

use hubplumb_tests::killing::{Killing, check_file};

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let (mut seed, mut kills) = (1_u64, 100_u64);
    while let Some(option) = arguments.next() {
        let value = arguments.next().and_then(|value| value.parse().ok());
        match (option.as_str(), value) {
            ("--seed", Some(given)) => seed = given,
            ("--kills", Some(given)) => kills = given,
            _ => {
                eprintln!("kill-run [--seed N] [--kills N]");
                return ExitCode::from(2);
            }
        }
    }
    println!("seed {seed}");
    let mut killing = Killing::begin(seed);
    for life in 0..kills {
        killing.live(life);
    }
    check_file(&killing.store());
    let came = &killing.kills;
    println!("\nSeed {seed}: {kills} kills.\n\n| step | kills |\n| --- | --- |");
    for (deed, count) in &came.kills {
        println!("| {deed} | {count} |");
    }
    println!("\n| what | count |\n| --- | --- |");
    println!(
        "| answered before a kill, and there after it | {} |",
        came.confirmed
    );
    println!("| answered and not there | 0 |");
    println!(
        "| under way at a kill: there whole | {} |",
        came.under_way[0]
    );
    println!("| under way at a kill: not there | {} |", came.under_way[1]);
    println!("| runs of procedures kept | {} |", came.runs);
    ExitCode::SUCCESS
}
