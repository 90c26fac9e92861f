//! Device clocks that drift, jump, stop and are heard late.

use super::*;

/// Deterministic delays between 0.2 and 8 ms with a heavy tail.
fn delay_us(i: i64) -> i64 {
    let mixed = (i
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407)
        >> 33)
        & 0xFFFF;
    200 + ((mixed * mixed) >> 20) * 2
}

fn feed(clock: &mut DeviceClock, ppm: f64, from: i64, to: i64) -> (f64, bool) {
    let (mut worst_us, mut restarted) = (0.0_f64, false);
    for i in from..to {
        let true_us = i * 10_000;
        let device_us = 77_000.0 + true_us as f64 * (1.0 + ppm * 1e-6);
        let stamp = clock.observe(
            device_us.trunc(),
            HostTime::from_us(1_000_000 + true_us + delay_us(i)),
        );
        restarted |= stamp.restarted;
        if i > from + 1500 {
            worst_us = worst_us.max((stamp.at.us() - 1_000_000 - true_us) as f64);
        }
    }
    (worst_us, restarted)
}

#[test]
fn follows_drifting_crystals_within_two_milliseconds() {
    for ppm in [0.0, 50.0, -50.0, 1500.0, -1500.0] {
        let mut clock = DeviceClock::new();
        let (worst_us, restarted) = feed(&mut clock, ppm, 0, 12_000);
        assert!(worst_us < 2_000.0, "{ppm} ppm: {worst_us} µs late");
        assert!(!restarted, "{ppm} ppm taken for a restart");
        let found = clock.ppm().unwrap();
        assert!((found - ppm).abs() < 15.0, "{ppm} ppm found as {found}");
    }
}

#[test]
fn a_restarted_board_begins_anew() {
    let mut clock = DeviceClock::new();
    feed(&mut clock, 20.0, 0, 1000);
    let stamp = clock.observe(1234.0, HostTime::from_us(60_000_000));
    assert_eq!(
        stamp,
        Stamp {
            at: HostTime::from_us(60_000_000),
            restarted: true
        }
    );
    assert_eq!(
        clock
            .observe(11_234.0, HostTime::from_us(60_010_100))
            .at
            .us(),
        60_010_000
    );
}

/// A busy machine: for seconds on end nothing is read in time, then all of it is.
#[test]
fn the_pace_is_the_devices_own_however_late_readings_come() {
    let mut clock = DeviceClock::new();
    let held_up_us = |i: i64| {
        let second = i / 100;
        // Least delays of the seconds: 80, 10, 120, 45 ms …
        [80_000, 10_000, 120_000, 45_000, 5_000, 90_000][usize::try_from(second % 6).unwrap()]
    };
    let times: Vec<HostTime> = (0..4_000)
        .map(|i| {
            let late = HostTime::from_us(i * 10_000 + held_up_us(i) + delay_us(i));
            clock.observe(i as f64 * 10_000.0, late).at
        })
        .collect();
    // A turn of two seconds, wherever it begins once the clock has settled.
    for from in 400..3_800 {
        let lasted_s = times[from + 200].since_s(times[from]);
        assert!((lasted_s - 2.0).abs() < 0.004, "{from}: {lasted_s} s");
    }
    assert!(times[400..].windows(2).all(|pair| pair[1] > pair[0]));
}

#[test]
fn a_line_that_was_late_is_come_back_to() {
    let mut clock = DeviceClock::new();
    // Ten seconds 60 ms late, then on time.
    let times: Vec<HostTime> = (0..20_000)
        .map(|i| {
            let late_us = if i < 1_000 { 60_000 } else { 500 };
            let arrival = HostTime::from_us(i * 10_000 + late_us);
            clock.observe(i as f64 * 10_000.0, arrival).at
        })
        .collect();
    let late_us = |i: usize| times[i].us() - i64::try_from(i).unwrap() * 10_000;
    assert!(late_us(900) > 50_000);
    assert!(late_us(19_999) < 5_000, "{} µs", late_us(19_999));
}

#[test]
fn no_time_is_later_than_the_arrival_that_it_belongs_to() {
    // Late from the beginning by so much, for ten seconds, then on time.
    for late_us in [60_000, 150_000, 300_000, 450_000] {
        let mut clock = DeviceClock::new();
        let mut begun = 0;
        for i in 0..3_000_i64 {
            let held_us = if i < 1_000 { late_us } else { 500 };
            let arrival = HostTime::from_us(i * 10_000 + held_us);
            let stamp = clock.observe(i as f64 * 10_000.0, arrival);
            assert!(stamp.at.since_us(arrival) <= FUTURE_US, "{late_us} at {i}");
            begun += u32::from(stamp.restarted);
        }
        // A line that is a little off is come back to; a turn goes on over it.
        assert_eq!(begun, u32::from(late_us > FUTURE_US), "{late_us}");
    }
}

#[test]
fn a_clock_that_stood_still_is_not_late_for_good() {
    let mut clock = DeviceClock::new();
    let late_us: Vec<i64> = (0..4_000_i64)
        .map(|i| {
            // Four seconds in which the board slept, and its clock with it.
            let slept_us = if i < 1_000 { 0 } else { 4_000_000 };
            let arrival = HostTime::from_us(i * 10_000 + slept_us);
            arrival.since_us(clock.observe(i as f64 * 10_000.0, arrival).at)
        })
        .collect();
    // Until then it may be the line that is late.
    assert!(
        late_us[1_000..1_590]
            .iter()
            .all(|late_us| *late_us > 3_900_000)
    );
    assert!(late_us[1_600..].iter().all(|late_us| *late_us < 1_000));
}

#[test]
fn seconds_of_delay_make_nothing_look_newer_than_it_is() {
    let mut clock = DeviceClock::new();
    for i in 0..6_000_i64 {
        // Five times in a minute the line is late by two seconds, for two seconds.
        let late_us = if i % 1_200 >= 1_000 { 2_000_000 } else { 500 };
        let arrival = HostTime::from_us(i * 10_000 + late_us);
        let at = clock.observe(i as f64 * 10_000.0, arrival).at;
        let newer_us = at.us() - i * 10_000;
        assert!(i < 500 || newer_us < 20_000, "{newer_us} µs too new at {i}");
    }
}

#[test]
fn a_clock_that_jumps_makes_no_time() {
    for jump_us in [
        40_000.0, 120_000.0, 290_000.0, 800_000.0, -40_000.0, -700_000.0,
    ] {
        let mut clock = DeviceClock::new();
        let mut before = None;
        for i in 0..4_000_i64 {
            let jumped = if i < 2_000 { 0.0 } else { jump_us };
            let device_us = 5e6 + i as f64 * 10_000.0 + jumped;
            let arrival = HostTime::from_us(i * 10_000 + delay_us(i));
            let at = clock.observe(device_us, arrival).at;
            if let Some(before) = before.replace(at)
                && i > 400
            {
                let step_us = at.since_us(before);
                assert!(
                    (step_us - 10_000).abs() < 9_000,
                    "{jump_us}: {step_us} µs at {i}"
                );
            }
            let away_us = at.us() - i * 10_000;
            assert!(
                i < 400 || away_us.abs() < 9_000,
                "{jump_us}: {away_us} µs at {i}"
            );
        }
    }
}

/// A busy machine reads late, loses some and then reads all at once: no jump of the board's.
#[test]
fn losses_on_a_late_line_are_no_jump() {
    let mut clock = DeviceClock::new();
    for i in (0..6_000_i64).filter(|i| !(2_000..2_030).contains(i)) {
        let late_us = if (1_900..2_050).contains(&i) {
            (2_050 - i) * 10_000
        } else {
            500
        };
        let arrival = HostTime::from_us(i * 10_000 + late_us);
        assert!(
            !clock.observe(i as f64 * 10_000.0, arrival).restarted,
            "{i}"
        );
    }
}

#[test]
fn two_clocks_on_one_line_tear_and_one_restart_does_not() {
    let mut tears = Tears::default();
    let at = |ms: i64| HostTime::from_us(ms * 1000);
    tears.tore(at(0));
    tears.tore(at(5_000));
    tears.tore(at(5_500));
    assert!(!tears.is_torn(at(5_500)));
    tears.tore(at(5_600));
    assert!(tears.is_torn(at(5_600)) && tears.is_torn(at(5_900)));
    assert!(!tears.is_torn(at(6_100)));
}

#[test]
fn host_time_never_runs_backwards() {
    let mut clock = DeviceClock::new();
    let mut last = HostTime::from_us(i64::MIN);
    for i in 0..5_000 {
        let at = clock
            .observe(
                i as f64 * 10_000.0,
                HostTime::from_us(i * 10_000 + delay_us(i * 7)),
            )
            .at;
        assert!(at >= last, "reading {i}");
        last = at;
    }
}
