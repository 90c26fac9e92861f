//! From bytes to the snapshot, piece by piece, beside what others do at the same work in the same run.
//!
//! ```text
//! cargo bench -p hubplumb-tests --bench sample_path
//! ```
#![expect(clippy::expect_used, reason = "what cannot be measured is to stop")]

use std::hint::black_box;
use std::sync::Arc;
use std::time::Duration;

use ahrs::{Ahrs as _, Madgwick, Mahony};
use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use hubplumb::board::{Board, Inlets, Intake};
use hubplumb::calibration_store::CalibrationStore;
use hubplumb::clock::DaemonClock;
use hubplumb::config::{self, Config};
use hubplumb::daemon::{Daemon, DaemonOptions};
use hubplumb::journal::Journal;
use hubplumb::link::Ways;
use hubplumb::store::Store;
use hubplumb::visiting::VisitDesk;
use hubplumb_core::joint::solve::solve;
use hubplumb_core::time::HostTime;
use hubplumb_protocol::{Frame, Reading};
use hubplumb_speed::families::{self, Family, Stream, reading};
use hubplumb_speed::way::{Way, drive};
use hubplumb_tests::joint_cases::{cases, evidence};
use tokio_util::sync::CancellationToken;
use vqf_rs::VQF;

/// Samples of a run: twenty seconds at 1 kHz, with turns in them.
const SAMPLES: usize = 20_000;
const LOOK_US: i64 = 50_000;

fn config() -> Config {
    let text = ["front_left", "front_right", "rear_left", "rear_right"]
        .iter()
        .enumerate()
        .map(|(nth, mount)| {
            let outboard = if mount.ends_with("left") { "+y" } else { "-y" };
            format!(
                "[[board]]\nid = \"board {nth}\"\nmount = \"{mount}\"\nformat = \"csv\"\n\
                 [board.mounting]\noutboard = \"{outboard}\"\nup = \"+z\"\n"
            )
        });
    config::parse(&text.collect::<String>(), "car.toml".as_ref()).expect("sound")
}

/// The daemon's own way: the frames, the board with its lock, and every look at it.
fn through_the_daemon(family: &Family, stream: &Stream) -> usize {
    let config = config();
    let board = Arc::new(Board::new(0, &config.boards[0], config.floor));
    let intake = Intake::new(board.clone(), Inlets::default(), None);
    intake.speaks(family.format.sequence_bits(), family.format.has_check_sum());
    let mut reader = family.reader();
    let mut readings: Vec<Reading> = Vec::new();
    let (mut now_us, mut looked_us, mut samples) = (0, 0, 0);
    for bytes in &stream.reads {
        now_us += stream.period_us * i64::try_from(stream.per_read).expect("few");
        let now = HostTime::from_us(now_us);
        reader.push_piece(bytes, family.packing);
        readings.clear();
        while let Some(frame) = reader.next() {
            if let Frame::Reading(reading) = frame {
                readings.push(reading);
            }
        }
        samples += readings.len();
        intake.take(now, &readings);
        if now_us - looked_us >= LOOK_US {
            looked_us = now_us;
            black_box(board.look(now));
        }
    }
    samples
}

fn whole_way(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("daemon");
    group.throughput(Throughput::Elements(SAMPLES as u64));
    group
        .sample_size(20)
        .measurement_time(Duration::from_secs(3));
    for family in families::all() {
        for (rate_hz, per_read) in [(1000, 1), (1000, 8), (100, 1)] {
            let stream = family.stream(SAMPLES, rate_hz, per_read);
            let name = format!("{} {rate_hz} Hz, {per_read} a read", family.name);
            group.bench_function(name, |bencher| {
                bencher.iter(|| through_the_daemon(&family, &stream));
            });
        }
    }
    group.finish();
}

fn pieces(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("pieces");
    group.throughput(Throughput::Elements(SAMPLES as u64));
    group
        .sample_size(20)
        .measurement_time(Duration::from_secs(3));
    let csv = families::named("csv").expect("csv");
    let stream = csv.stream(SAMPLES, 1000, 1);
    group.bench_function("csv without the service", |bencher| {
        bencher.iter(|| drive(&csv, &stream));
    });
    group.bench_function("csv as far as readings", |bencher| {
        bencher.iter(|| hubplumb_speed::way::decode(&csv, &stream));
    });
    // The floor of reading such text: ends of lines, commas, and a library that reads numbers.
    let text: Vec<u8> = stream.reads.concat();
    group.bench_function("memchr and fast-float", |bencher| {
        bencher.iter(|| {
            let mut sum = 0.0;
            let mut from = 0;
            for end in memchr::memchr_iter(b'\n', &text) {
                let line = text[from..end].trim_ascii_end();
                from = end + 1;
                let mut start = 0;
                for comma in memchr::memchr_iter(b',', line).chain([line.len()]) {
                    let number: Result<f64, _> = fast_float2::parse(&line[start..comma]);
                    sum += number.unwrap_or_default();
                    start = comma + 1;
                }
            }
            sum
        });
    });
    let mut way = Way::of(&csv);
    let mut came = hubplumb_speed::way::Came::default();
    for (nth, bytes) in (1..).zip(&stream.reads) {
        way.take(bytes, HostTime::from_us(nth * 1000), &mut came);
    }
    let now = HostTime::from_us(stream.period_us * i64::try_from(SAMPLES).expect("few"));
    group.throughput(Throughput::Elements(1));
    group.bench_function("camber of a window", |bencher| {
        bencher.iter(|| black_box(way.look(black_box(now))));
    });
    group.finish();
}

/// General-purpose filters at the samples that the way above has, at 100 Hz: what they cost a sample.
fn filters(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("filters");
    group.throughput(Throughput::Elements(SAMPLES as u64));
    group
        .sample_size(20)
        .measurement_time(Duration::from_secs(3));
    let samples: Vec<([f64; 3], [f64; 3])> = (0..SAMPLES)
        .map(|number| {
            let reading = reading(number, 10_000);
            let accel = reading.accel_g.expect("there").map(|g| g * 9.806_65);
            (reading.rate_radps.expect("there"), accel)
        })
        .collect();
    group.bench_function("vqf-rs", |bencher| {
        bencher.iter_batched(
            || VQF::new(0.01, None, None, None),
            |mut filter| {
                for (rate, accel) in &samples {
                    filter.update(*rate, *accel, None);
                }
                black_box(filter.quat_6d().0)
            },
            BatchSize::SmallInput,
        );
    });
    group.bench_function("ahrs Madgwick", |bencher| {
        bencher.iter(|| {
            let mut filter = Madgwick::new(0.01, 0.1);
            for (rate, accel) in &samples {
                filter
                    .update_imu(&(*rate).into(), &(*accel).into())
                    .expect("no reading is nought");
            }
            filter.quat
        });
    });
    group.bench_function("ahrs Mahony", |bencher| {
        bencher.iter(|| {
            let mut filter = Mahony::new(0.01, 0.5, 0.0);
            for (rate, accel) in &samples {
                filter
                    .update_imu(&(*rate).into(), &(*accel).into())
                    .expect("no reading is nought");
            }
            filter.quat
        });
    });
    group.finish();
}

fn solving(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("swing");
    group
        .sample_size(20)
        .measurement_time(Duration::from_secs(3));
    for case in cases() {
        let evidence = evidence(&case["session"]);
        let name = case["name"].as_str().expect("a name").to_owned();
        group.bench_function(name, |bencher| {
            bencher.iter(|| solve(black_box(&evidence)).expect("a solution"));
        });
    }
    group.finish();
}

fn snapshot(criterion: &mut Criterion) {
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let folder = tempfile::tempdir().expect("a folder");
    let stop = CancellationToken::new();
    let state = runtime.block_on(async {
        let daemon = Daemon::start(
            DaemonOptions {
                config: config(),
                ways: Ways::system(),
                scenario: None,
                clock: DaemonClock::starting_now(),
                record: None,
                store: CalibrationStore::at(folder.path()),
                journal: Journal::off(),
                visits: VisitDesk::new(Store::in_memory()),
                practice: None,
            },
            &stop,
        );
        daemon.app().state.borrow().clone()
    });
    criterion.bench_function("snapshot of four boards to JSON", |bencher| {
        bencher.iter(|| {
            serde_json::to_string(black_box(&*state))
                .expect("JSON")
                .len()
        });
    });
    stop.cancel();
}

criterion_group!(benches, whole_way, pieces, filters, solving, snapshot);
criterion_main!(benches);
