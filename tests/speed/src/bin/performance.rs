//! Measures what docs/PERFORMANCE.md tells, and prints it.
//!
//! ```text
//! performance [quick] [SECTION…] > docs/PERFORMANCE.md
//! ```
//! Sections are head, samples, counts, criterion, filters, script, trips, rest, full, beyond, growth, visits and tail; all of them
//! where none is named. `hot-path` is the one beside this program, and so is `hubplumb` unless
//! `HUBPLUMB_BIN` names another. `quick` loads for seconds where the whole takes a quarter of an hour.

use std::env;
use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::PathBuf;
use std::process::{Command, ExitCode};

use hubplumb_speed::load::script::{Pace, daemon_us, python, script_us};
use hubplumb_speed::load::{Load, Measured, floor, machine_load, quantile, run, visit_costs};
use hubplumb_speed::{alone, counting, criterion};

const FULL: Load = Load {
    boards: 16,
    rate_hz: 1000,
    streams: 15,
    traces: 5,
    seconds: 600,
    family: "csv",
};

fn beside(name: &str) -> io::Result<PathBuf> {
    let path = env::current_exe()?.with_file_name(name);
    if path.is_file() {
        Ok(path)
    } else {
        Err(io::Error::other(format!("{name} is not built")))
    }
}

/// What could not be measured is told, and the others are measured all the same.
fn section(title: &str, measured: io::Result<String>) {
    println!("## {title}\n");
    match measured {
        Ok(text) => println!("{}", text.trim_end()),
        Err(error) => println!("Not measured here: {error}."),
    }
    println!(
        "\nLoad of the machine when it was measured: {:.1}.\n",
        machine_load()
    );
}

fn head() -> io::Result<()> {
    let processor = fs::read_to_string("/proc/cpuinfo")?;
    let model = processor
        .lines()
        .find_map(|line| line.strip_prefix("model name")?.split(": ").nth(1))
        .unwrap_or("unknown");
    let cores = processor.matches("processor\t").count();
    let about = include_str!("../performance_head.txt");
    println!("{}", about.trim_end());
    println!("\nMeasured on {cores} processors of the kind {model}.\n");
    Ok(())
}

fn samples() -> io::Result<String> {
    let run = Command::new(beside("hot-path")?).arg("time").output()?;
    let told = String::from_utf8_lossy(&run.stdout).into_owned();
    let mut text = String::from(
        "ns of processor time for each sample, the least of several runs: as far as readings; the \
         whole way at 1 kHz with one sample and with eight in a read; the whole way at 100 Hz, where \
         every sample fills a cell of the tilt filter.\n\n\
         | format | readings | 1 kHz | 1 kHz, 8 a read | 100 Hz |\n| --- | --- | --- | --- | --- |\n",
    );
    for line in told.lines().skip(1) {
        let words: Vec<&str> = line.split_whitespace().take(5).collect();
        let _ = writeln!(text, "| {} |", words.join(" | "));
    }
    Ok(text)
}

fn counts() -> io::Result<String> {
    let program = beside("hot-path")?;
    let mut text =
        String::from("| what | format | Hz | instructions a sample |\n| --- | --- | --- | --- |\n");
    for words in counting::counted() {
        let count = counting::instructions(&program, &words)?;
        let _ = writeln!(text, "| {} | {count} |", words.join(" | "));
    }
    Ok(text)
}

/// What the benchmarks found, which are a command of their own (`cargo bench`) into the same folder.
fn benchmarks() -> io::Result<String> {
    let program = env::current_exe()?;
    let folder = program
        .ancestors()
        .nth(2)
        .map(|built| built.join("criterion"));
    let folder = folder.filter(|folder| folder.is_dir());
    let folder = folder.ok_or_else(|| io::Error::other("the benchmarks were not run"))?;
    let all = criterion::found(&folder)?;
    Ok(criterion::tables(&all))
}

fn beside_a_script(seconds: u64) -> io::Result<String> {
    let python = python()?;
    let mut text = String::from(
        "Processor time for each sample, µs, of one board on a pseudo-terminal; of the daemon all its \
         threads and the system's part, without what it takes when the board says nothing.\n\n\
         | | one at a time, 1 kHz | forty at a time, 4 kHz |\n| --- | --- | --- |\n",
    );
    let paces = [
        Pace {
            rate_hz: 1000,
            burst: 1,
        },
        Pace {
            rate_hz: 4000,
            burst: 40,
        },
    ];
    let mut line = |what: &str, each: [f64; 2], ours: [f64; 2]| {
        let cell = |nth: usize| format!("{:.2} ({:.1} ×)", each[nth], each[nth] / ours[nth]);
        let _ = writeln!(text, "| {what} | {} | {} |", cell(0), cell(1));
    };
    let mut ours = [0.0; 2];
    for (nth, pace) in paces.into_iter().enumerate() {
        ours[nth] = daemon_us(pace, seconds)?;
    }
    line("hubplumb, VQF in it", ours, ours);
    for (what, filter, how) in [
        ("pyserial by lines, atan2", "none", "lines"),
        ("pyserial by lines, imufusion", "imufusion", "lines"),
        ("pyserial by lines, VQF", "vqf", "lines"),
        ("pyserial in chunks, atan2", "none", "chunks"),
        ("pyserial in chunks, BasicVQF", "basicvqf", "chunks"),
        ("pyserial in chunks, VQF", "vqf", "chunks"),
    ] {
        let mut each = [0.0; 2];
        for (nth, pace) in paces.into_iter().enumerate() {
            each[nth] = script_us(&python, filter, how, pace, seconds)?;
        }
        line(what, each, ours);
    }
    Ok(text)
}

fn trips(samples: usize) -> io::Result<String> {
    let mut text = String::from(
        "From the byte on a pseudo-terminal to the byte at a client, a sample every 10 ms, ms. The \
         daemon sends traces without an interval; socat does nothing but hand bytes on.\n\n\
         | | p50 | p99 | p99.9 | samples |\n| --- | --- | --- | --- | --- |\n",
    );
    for (what, took) in [
        ("socat", floor::by_socat(samples)?),
        ("hubplumb", floor::by_daemon(samples)?),
    ] {
        let at = |share| quantile(&took, share).unwrap_or(f64::NAN);
        let _ = writeln!(
            text,
            "| {what} | {:.2} | {:.2} | {:.2} | {} |",
            at(0.5),
            at(0.99),
            at(0.999),
            took.len()
        );
    }
    Ok(text)
}

const LOAD_HEAD: &str = "| boards | Hz | clients | format | s | core | µs/sample | MB | lost | age p50/p99/p99.9 ms | load |\n\
    | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n";

fn load_line(load: &Load, found: &Measured) -> String {
    let age = found
        .age_ms
        .map_or_else(String::new, |[half, most, nearly_all]| {
            format!("{half:.1} / {most:.1} / {nearly_all:.1}")
        });
    format!(
        "| {} | {} | {} + {} | {} | {} | {:.1} % | {:.1} | {:.1} | {} of {} | {age} | {:.1} |\n",
        load.boards,
        load.rate_hz,
        load.streams,
        load.traces,
        load.family,
        load.seconds,
        100.0 * found.core,
        found.sample_us(load),
        found.resident_mb,
        found.dropped,
        found.sent,
        found.machine_load,
    )
}

fn loads(loads: &[Load]) -> io::Result<String> {
    let mut text = LOAD_HEAD.to_owned();
    for load in loads {
        text += &load_line(load, &run(load)?);
    }
    Ok(text)
}

fn resting(seconds: u64) -> io::Result<String> {
    let load = Load {
        boards: 4,
        rate_hz: 100,
        streams: 0,
        traces: 0,
        seconds,
        family: "csv",
    };
    let found = run(&load)?;
    let program = hubplumb_speed::load::program()?;
    let megabytes = fs::metadata(&program)?.len() as f64 / 1e6;
    Ok(format!(
        "Four boards at 100 Hz, nobody connected: {:.2} % of a core, {:.1} MB resident. From the start \
         of the process until it answers that it is ready: {:.0} ms. The program, stripped: \
         {megabytes:.1} MB.\n",
        100.0 * found.core,
        found.resident_mb,
        found.ready_ms,
    ))
}

fn visits() -> io::Result<String> {
    let mut told = String::from(
        "One visit, half of it notes and half measured gaps; milliseconds from the connection to the end of the answer, the \
         middle of nine. A visit of an afternoon has some forty entries.\n\n\
         | entries | a note is on the disk | a gap is worked out and on the disk | the visit is shown | its sheet | shown, kB | resident, MB |\n\
         |---|---|---|---|---|---|---|\n",
    );
    for cost in visit_costs(&[40, 200, 1000])? {
        let _ = writeln!(
            told,
            "| {} | {:.1} | {:.1} | {:.1} | {:.1} | {:.0} | {:.1} |",
            cost.entries,
            cost.note_ms,
            cost.figures_ms,
            cost.shown_ms,
            cost.sheet_ms,
            cost.shown_kb,
            cost.resident_mb
        );
    }
    Ok(told)
}

fn main() -> ExitCode {
    let words: Vec<String> = env::args().skip(1).collect();
    let quick = words.iter().any(|word| word == "quick");
    let named: Vec<&String> = words.iter().filter(|word| *word != "quick").collect();
    let wanted = |name: &str| named.is_empty() || named.iter().any(|word| *word == name);
    let (short, long, trip) = if quick {
        (5, 20, 500)
    } else {
        (20, FULL.seconds, 3000)
    };
    let full = Load {
        seconds: long,
        ..FULL
    };
    let few = Load {
        boards: 4,
        rate_hz: 100,
        streams: 1,
        traces: 0,
        seconds: short,
        family: "csv",
    };
    if wanted("head")
        && let Err(error) = head()
    {
        eprintln!("{error}");
        return ExitCode::FAILURE;
    }
    if wanted("samples") {
        section("A sample", samples());
    }
    if wanted("counts") {
        section("Instructions", counts());
    }
    if wanted("criterion") {
        section("Beside other filters and parsers", benchmarks());
    }
    if wanted("filters") {
        let others = python().and_then(|python| alone::others_ns(&python));
        let table = others.map(|others| alone::table(alone::ours_ns(), &others));
        section("Filters from elsewhere", table);
    }
    if wanted("script") {
        section("Beside a script", beside_a_script(short));
    }
    if wanted("trips") {
        section("From byte to byte", trips(trip));
    }
    if wanted("rest") {
        section("At rest", resting(short));
    }
    if wanted("full") {
        let compact = Load {
            family: "compact",
            seconds: short,
            ..FULL
        };
        section(
            "Sixteen boards at a kilohertz, twenty clients",
            loads(&[full, compact]),
        );
    }
    if wanted("beyond") {
        // The configuration takes sixteen boards, so it is their rate that grows.
        let more = [2000, 4000, 8000].map(|rate_hz| Load {
            rate_hz,
            seconds: short,
            ..FULL
        });
        section("Beyond", loads(&more));
    }
    if wanted("growth") {
        let growing = [
            Load { boards: 1, ..few },
            few,
            Load { boards: 16, ..few },
            Load {
                rate_hz: 500,
                ..few
            },
            Load {
                rate_hz: 1000,
                ..few
            },
            Load { streams: 20, ..few },
            Load { streams: 60, ..few },
            Load { traces: 20, ..few },
        ];
        section("What it grows with", loads(&growing));
    }
    if wanted("visits") {
        section("As a visit grows", visits());
    }
    if wanted("tail") {
        println!("{}", include_str!("../performance_tail.txt").trim_end());
    }
    ExitCode::SUCCESS
}
