//! Kills the daemon in whole visits: `kill-run --kills N --seed S` prints what came of it, as
//! docs/reliability/kills.md has it; `--only calibration` spends every life with one thing. A loss
//! ends it with the seed and the life.

use std::process::ExitCode;

use hubplumb_tests::killing::{Deed, Killing, check_file};

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let (mut seed, mut kills, mut only) = (1_u64, 100_u64, None);
    while let Some(option) = arguments.next() {
        let value = arguments.next().unwrap_or_default();
        let deed = Deed::NAMED.into_iter().find(|(name, _)| *name == value);
        match (option.as_str(), value.parse(), deed) {
            ("--seed", Ok(given), _) => seed = given,
            ("--kills", Ok(given), _) => kills = given,
            ("--only", _, Some((_, deed))) => only = Some(deed),
            _ => {
                eprintln!("kill-run [--seed N] [--kills N] [--only STEP]");
                return ExitCode::from(2);
            }
        }
    }
    println!("seed {seed}");
    let mut killing = Killing::begin(seed).only(only);
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
