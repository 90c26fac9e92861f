//! Poses found in a stream.

use hubplumb_core::calibrate::{Enough, Face, PoseCollector, PoseProgress, fit_poses};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::Vec3;
use hubplumb_core::live::Rejected;
use hubplumb_core::reading::RawSample;
use hubplumb_core::time::HostTime;

use crate::made_board::{Dice, FACES, MadeBoard, length, twelve};

const GYRO_OFFSET_RADPS: [f64; 3] = [0.03, -0.01, 0.02];

/// A board that is handled at 100 Hz.
struct Bench {
    board: MadeBoard,
    dice: Dice,
    collector: PoseCollector,
    us: i64,
    up: [f64; 3],
    seen: Vec<PoseProgress>,
}

impl Bench {
    fn new(seed: u64) -> Self {
        let mut dice = Dice::new(seed);
        Self {
            board: MadeBoard::random(&mut dice, 0.03, 0.01, 0.01),
            dice,
            collector: PoseCollector::new(ChipFigures::CHEAP),
            us: 0,
            up: [0.0, 0.0, 1.0],
            seen: Vec::new(),
        }
    }

    fn reading(&mut self, force_g: [f64; 3], rate_radps: [f64; 3]) -> RawSample {
        self.us += 10_000;
        let read = self.board.read(force_g);
        // 400 µg/√Hz and 0.005 °/s/√Hz at 100 Hz.
        let (noise, hum) = (self.dice.triple(2.8e-3), self.dice.triple(6e-4));
        RawSample {
            at: HostTime::from_us(self.us),
            accel_g: Vec3::from_array(std::array::from_fn(|i| read[i] + noise[i])),
            rate_radps: Some(Vec3::from_array(std::array::from_fn(|i| {
                rate_radps[i] + GYRO_OFFSET_RADPS[i] + hum[i]
            }))),
            temperature_c: Some(25.0 + 1e-8 * self.us as f64),
        }
    }

    fn feed(&mut self, raw: &RawSample) {
        let progress = self.collector.observe(raw);
        self.seen.push(progress);
    }

    fn rest(&mut self, ms: i64) {
        let until = self.us + 1_000 * ms;
        while self.us < until {
            let raw = self.reading(self.up, [0.0; 3]);
            self.feed(&raw);
        }
    }

    /// Carries the board over to another way up within a second.
    fn turn_to(&mut self, up: [f64; 3]) {
        let up = up.map(|c| c / length(up));
        let from = self.up;
        for step in 1..=100 {
            let s = f64::from(step) / 100.0;
            // Over the side when the way is through the middle.
            let way: [f64; 3] = std::array::from_fn(|i| {
                from[i] * (1.0 - s) + up[i] * s + [0.3, 0.2, 0.25][i] * s * (1.0 - s)
            });
            self.up = way.map(|c| c / length(way));
            let raw = self.reading(self.up, [1.0, 0.7, -0.4]);
            self.feed(&raw);
        }
        self.up = up;
    }

    fn taken(&self) -> usize {
        self.seen
            .iter()
            .filter(|progress| matches!(progress, PoseProgress::Taken { .. }))
            .count()
    }
}

#[test]
fn twelve_poses_in_a_stream_calibrate_the_board() {
    let mut bench = Bench::new(11);
    for up in twelve() {
        bench.turn_to(up);
        bench.rest(7_000);
    }
    assert_eq!(bench.taken(), 12);
    let coverage = bench.collector.coverage();
    assert_eq!(coverage.enough(), Enough::Everything);
    assert_eq!(coverage.missing_faces().count(), 0);
    let fit = fit_poses(bench.collector.poses()).unwrap();
    let numbers = bench.board.numbers();
    for (parameter, truth) in hubplumb_core::calibrate::Parameter::ALL
        .into_iter()
        .zip(numbers)
    {
        let off = (fit.value(parameter) - truth).abs();
        assert!(
            off < 4.0 * fit.standard(parameter),
            "{parameter:?} {off} {fit:?}"
        );
        assert!(fit.standard(parameter) < 4e-4, "{parameter:?}");
    }
    let gyro = fit.gyro().unwrap();
    let off = gyro.offset_radps - Vec3::from_array(GYRO_OFFSET_RADPS);
    assert!(
        off.max_abs() < 5.0 * gyro.standard_radps.max_abs(),
        "{gyro:?}"
    );
    assert!(gyro.scatter_radps.max_abs() < 1e-4, "{gyro:?}");
    let warmth = fit.warmth().unwrap();
    assert!((warmth.span_c - 0.88).abs() < 0.05, "{warmth:?}");
}

#[test]
fn six_faces_are_enough_in_any_order() {
    let mut bench = Bench::new(12);
    bench.rest(1_000);
    for index in [4, 1, 3, 0, 5, 2] {
        assert_eq!(bench.collector.coverage().enough(), Enough::No);
        bench.turn_to(FACES[index]);
        bench.rest(7_000);
    }
    assert_eq!(bench.collector.coverage().enough(), Enough::OffsetAndScale);
    assert!(
        Face::ALL
            .iter()
            .all(|&face| bench.collector.coverage().has(face))
    );
}

#[test]
fn a_pose_is_taken_once() {
    let mut bench = Bench::new(13);
    bench.rest(12_000);
    bench.turn_to([0.2, 0.1, 1.0]);
    bench.rest(8_000);
    assert_eq!(bench.taken(), 1);
    assert_eq!(
        bench.seen.last(),
        Some(&PoseProgress::AlreadyTaken { pose: 0 })
    );
    bench.turn_to([1.0, 0.1, 1.0]);
    bench.rest(8_000);
    assert_eq!(bench.taken(), 2);
    let first = bench.collector.poses()[0];
    assert_eq!(bench.collector.discard(0), Some(first));
    assert_eq!(bench.collector.discard(1), None);
    assert_eq!(bench.collector.coverage().poses(), 1);
}

#[test]
fn progress_is_told_while_the_pose_is_held() {
    let mut bench = Bench::new(14);
    bench.rest(5_500);
    let mut held = 0;
    assert_eq!(bench.seen[0], PoseProgress::Settling);
    for progress in &bench.seen {
        if let PoseProgress::Holding { held_us, needed_us } = progress {
            assert!((held..*needed_us).contains(held_us), "{progress:?}");
            held = *held_us;
        }
    }
    assert!(held > 3_900_000, "{held}");
    assert_eq!(bench.taken(), 1);
    let pose = bench.collector.poses()[0];
    assert!(
        pose.seconds >= 4.0 && pose.noise_g > 1e-4 && pose.noise_g < 3e-4,
        "{pose:?}"
    );
}

#[test]
fn a_board_that_moves_or_is_knocked_has_no_pose() {
    let mut bench = Bench::new(15);
    // Handled all the time, one second in each position.
    for up in twelve().into_iter().cycle().take(40) {
        bench.turn_to(up);
        bench.rest(1_000);
    }
    assert_eq!(bench.taken(), 0);
    assert!(bench.seen.contains(&PoseProgress::Moving));

    // At rest, but knocked to the end of the range every two seconds.
    let mut bench = Bench::new(16);
    for _ in 0..6 {
        bench.rest(2_000);
        let raw = bench.reading([0.0, 0.0, 2.2], [0.0; 3]);
        bench.feed(&raw);
        assert!(matches!(
            bench.seen.last(),
            Some(PoseProgress::Rejected(Rejected::Saturated { .. }))
        ));
    }
    assert_eq!(bench.taken(), 0);
}

#[test]
fn readings_that_cannot_be_used_are_named() {
    let mut bench = Bench::new(17);
    bench.rest(1_000);
    let good = bench.reading(bench.up, [0.0; 3]);
    let check = |bench: &mut Bench, raw: RawSample, expected: fn(&Rejected) -> bool| match bench
        .collector
        .observe(&raw)
    {
        PoseProgress::Rejected(why) => assert!(expected(&why), "{why:?}"),
        other => panic!("{other:?}"),
    };
    let mut bad = good;
    bad.accel_g = Vec3::new(f64::NAN, 0.0, 1.0);
    check(&mut bench, bad, |why| *why == Rejected::NotFinite);
    let mut late = good;
    late.at = HostTime::from_us(500_000);
    check(&mut bench, late, |why| {
        matches!(why, Rejected::TimeNotForward { .. })
    });
    let mut spun = good;
    spun.rate_radps = Some(Vec3::new(0.0, 5.0, 0.0));
    check(
        &mut bench,
        spun,
        |why| matches!(why, Rejected::Saturated { found, .. } if *found > 4.9),
    );
}
