//! Puts the daemon under a load of boards and clients and prints what it cost.
//!
//! ```text
//! load BOARDS RATE_HZ CLIENTS SECONDS [FORMAT]
//! load knee [SECONDS]      sixteen boards at higher and higher rates, until samples are lost
//! load growth [SECONDS]    one thing grows at a time: boards, rate, clients
//! ```
//! One client of four follows the traces, the others the state. The program is the release beside
//! this one, or that of `HUBPLUMB_BIN`.

use std::io;
use std::process::ExitCode;

use hubplumb_speed::load::{Load, Measured, run};

/// As the goal has it: sixteen boards at a kilohertz, twenty clients.
const FULL: Load = Load {
    boards: 16,
    rate_hz: 1000,
    streams: 15,
    traces: 5,
    seconds: 30,
    family: "csv",
};

fn head() {
    println!(
        "| boards | Hz | clients | format | core | µs/sample | MB | dropped | age p50/p99/p99.9 ms | events/s | load |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
}

fn line(load: &Load, found: &Measured) {
    let age = found
        .age_ms
        .map_or_else(String::new, |[half, most, nearly_all]| {
            format!("{half:.1} / {most:.1} / {nearly_all:.1}")
        });
    println!(
        "| {} | {} | {} | {} | {:.1} % | {:.2} | {:.1} | {} of {} | {age} | {:.0} | {:.1} |",
        load.boards,
        load.rate_hz,
        load.streams + load.traces,
        load.family,
        100.0 * found.core,
        found.sample_us(load),
        found.resident_mb,
        found.dropped + found.sent.saturating_sub(found.taken + 64),
        found.sent,
        found.events_hz,
        found.machine_load,
    );
}

fn measure(load: &Load) -> io::Result<Measured> {
    let found = run(load)?;
    line(load, &found);
    Ok(found)
}

fn knee(seconds: u64) -> io::Result<()> {
    head();
    for rate_hz in [1000, 2000, 4000, 6000, 8000, 12_000] {
        let found = measure(&Load {
            rate_hz,
            seconds,
            ..FULL
        })?;
        if found.dropped > 0 {
            break;
        }
    }
    Ok(())
}

fn growth(seconds: u64) -> io::Result<()> {
    head();
    let few = Load {
        boards: 4,
        rate_hz: 100,
        streams: 1,
        traces: 0,
        seconds,
        family: "csv",
    };
    for boards in [1, 4, 8, 16] {
        measure(&Load { boards, ..few })?;
    }
    for rate_hz in [200, 500, 1000] {
        measure(&Load { rate_hz, ..few })?;
    }
    for streams in [0, 5, 20, 60] {
        measure(&Load { streams, ..few })?;
    }
    for traces in [1, 5, 20] {
        measure(&Load { traces, ..few })?;
    }
    Ok(())
}

fn number(word: Option<&&str>, usual: u64) -> io::Result<u64> {
    word.map_or(Ok(usual), |word| word.parse().map_err(io::Error::other))
}

fn told(words: &[&str]) -> io::Result<()> {
    match words {
        ["knee", rest @ ..] => knee(number(rest.first(), 20)?),
        ["growth", rest @ ..] => growth(number(rest.first(), 10)?),
        [boards, rate_hz, clients, seconds, rest @ ..] => {
            let whole = |word: &&str| word.parse().map_err(io::Error::other);
            let clients: usize = whole(clients)?;
            let family = match rest.first() {
                None => FULL.family,
                Some(name) => {
                    hubplumb_speed::families::named(name)
                        .ok_or_else(|| io::Error::other("no such format"))?
                        .name
                }
            };
            head();
            measure(&Load {
                boards: whole(boards)?,
                rate_hz: rate_hz.parse().map_err(io::Error::other)?,
                streams: clients - clients / 4,
                traces: clients / 4,
                seconds: seconds.parse().map_err(io::Error::other)?,
                family,
            })
            .map(drop)
        }
        _ => Err(io::Error::other(
            "load BOARDS RATE_HZ CLIENTS SECONDS [FORMAT] | knee [SECONDS] | growth [SECONDS]",
        )),
    }
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match told(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}
