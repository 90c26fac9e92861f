//! The chip model against the figures it is given.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use hubplumb_protocol::{Reading, STANDARD_GRAVITY_MPS2};
use hubplumb_sim::{Mount, Scenario, Script, render};

/// A still, level car with one board, described by lines of its `[[board]]` table.
fn still(board: &str, for_s: f64) -> Scenario {
    let text = format!(
        r#"
name = "still"
seed = 11
script = [{{ rest_s = {for_s} }}]
[car]
name = "Bench"
track_mm = 1500
wheelbase_mm = 2500
wheel_radius_mm = 300
[car.front_left]
caster_deg = 0
sai_deg = 0
camber_deg = 0
toe_deg = 0
[car.front_right]
caster_deg = 0
sai_deg = 0
camber_deg = 0
toe_deg = 0
[[board]]
mount = "front_left"
mounting = {{ x = "forward", z = "up" }}
wire = "csv"
{board}
"#
    );
    Scenario::from_toml(&text).expect("the bench reads")
}

fn readings(scenario: &Scenario) -> Vec<Reading> {
    let mut boards = render(scenario).expect("the script can be done");
    assert_eq!(boards.len(), 1);
    boards
        .remove(0)
        .readings
        .into_iter()
        .map(|(_, reading)| reading)
        .collect()
}

fn accel(readings: &[Reading], axis: usize) -> Vec<f64> {
    readings
        .iter()
        .map(|r| r.accel_g.expect("an accelerometer")[axis])
        .collect()
}

fn rate(readings: &[Reading], axis: usize) -> Vec<f64> {
    readings
        .iter()
        .map(|r| r.rate_radps.expect("a gyro")[axis])
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn deviation(values: &[f64]) -> f64 {
    let middle = mean(values);
    let square: f64 = values.iter().map(|v| (v - middle).powi(2)).sum();
    (square / (values.len() - 1) as f64).sqrt()
}

/// Allan deviation of neighbouring means over `samples` each.
fn allan_deviation(values: &[f64], samples: usize) -> f64 {
    let means: Vec<f64> = values.chunks_exact(samples).map(mean).collect();
    let square: f64 = means
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).powi(2))
        .sum();
    (0.5 * square / (means.len() - 1) as f64).sqrt()
}

/// A deviation from n draws is good to 1/√(2n); four times that is passed by all but 1 in 16 000.
fn check_deviation(name: &str, found: f64, expected: f64, draws: usize) {
    let allowed = 4.0 / (2.0 * draws as f64).sqrt();
    assert!(
        (found / expected - 1.0).abs() < allowed,
        "{name}: {found:.3e} for {expected:.3e}, allowed {:.1} %",
        allowed * 100.0
    );
}

#[test]
fn noise_density_is_one_sided() {
    // σ = ND √(fs/2): conventions of the reference cases.
    for rate_hz in [50.0, 200.0] {
        let board = format!(
            "rate_hz = {rate_hz}\nchip = {{ preset = \"ideal\", accel_noise_ug_per_rthz = 400, \
             gyro_noise_dps_per_rthz = 0.005 }}"
        );
        let all = readings(&still(&board, 8000.0 / rate_hz));
        let root = (rate_hz / 2.0_f64).sqrt();
        for axis in 0..3 {
            let (a, g) = (accel(&all, axis), rate(&all, axis));
            check_deviation("accel", deviation(&a), 400e-6 * root, a.len());
            check_deviation(
                "gyro",
                deviation(&g),
                0.005_f64.to_radians() * root,
                g.len(),
            );
        }
    }
}

#[test]
fn white_noise_falls_with_the_root_of_the_time_and_a_walk_rises_with_it() {
    // White: σ(τ) = ND/√(2τ). Walk of K per √s: σ(τ) = K √(τ/3) (IEEE 952, from memory).
    let white = still(
        "rate_hz = 100\nchip = { preset = \"ideal\", accel_noise_ug_per_rthz = 100 }",
        400.0,
    );
    let values = accel(&readings(&white), 0);
    for tau_s in [0.1_f64, 1.0] {
        let samples = if tau_s < 0.5 { 10 } else { 100 };
        let found = allan_deviation(&values, samples);
        check_deviation(
            "white",
            found,
            100e-6 / (2.0 * tau_s).sqrt(),
            values.len() / samples * 2 / 3,
        );
    }
    let walk = still(
        "rate_hz = 20\nchip = { preset = \"ideal\", accel_walk_ug_per_rts = 50 }",
        4000.0,
    );
    let values = accel(&readings(&walk), 1);
    for tau_s in [2.0_f64, 8.0] {
        let samples = if tau_s < 4.0 { 40 } else { 160 };
        let found = allan_deviation(&values, samples);
        check_deviation(
            "walk",
            found,
            50e-6 * (tau_s / 3.0).sqrt(),
            values.len() / samples / 2,
        );
    }
}

#[test]
fn what_is_drawn_per_chip_has_the_stated_spread() {
    let scenario = Scenario::shipped("garage-cheap").expect("shipped");
    let board = scenario.board(Mount::FrontLeft).expect("a left board");
    let errors: Vec<_> = (0..400).map(|seed| board.errors(seed)).collect();
    let spread = |of: &dyn Fn(usize, usize, usize) -> f64| {
        let all: Vec<f64> = (0..400)
            .flat_map(|i| (0..3).flat_map(move |row| (0..3).map(move |column| (i, row, column))))
            .map(|(i, row, column)| of(i, row, column))
            .collect();
        (all.iter().map(|v| v * v).sum::<f64>() / all.iter().filter(|v| **v != 0.0).count() as f64)
            .sqrt()
    };
    let gyro = |i: usize| errors[i].gyro.expect("a gyro");
    // Figures of the "cheap" sheet in the reference cases; 1200 draws each, 2400 off the diagonal.
    check_deviation(
        "bias",
        spread(&|i, r, c| if c == 0 { errors[i].accel.bias[r] } else { 0.0 }),
        1e-3,
        1200,
    );
    check_deviation(
        "drift",
        spread(&|i, r, c| {
            if c == 0 {
                errors[i].accel.tempco[r]
            } else {
                0.0
            }
        }),
        0.3e-3,
        1200,
    );
    check_deviation(
        "scale",
        spread(&|i, r, c| {
            if r == c {
                errors[i].accel.matrix[(r, c)] - 1.0
            } else {
                0.0
            }
        }),
        1e-3,
        1200,
    );
    check_deviation(
        "cross",
        spread(&|i, r, c| {
            if r == c {
                0.0
            } else {
                errors[i].accel.matrix[(r, c)]
            }
        }),
        0.5e-3,
        2400,
    );
    check_deviation(
        "gyro bias",
        spread(&|i, r, c| if c == 0 { gyro(i).bias[r] } else { 0.0 }),
        0.5_f64.to_radians(),
        1200,
    );
    check_deviation(
        "gyro scale",
        spread(&|i, r, c| {
            if r == c {
                gyro(i).matrix[(r, c)] - 1.0
            } else {
                0.0
            }
        }),
        3e-3,
        1200,
    );
    check_deviation(
        "gyro cross",
        spread(&|i, r, c| if r == c { 0.0 } else { gyro(i).matrix[(r, c)] }),
        1e-3,
        2400,
    );
}

#[test]
fn digits_range_and_given_bias_show_in_the_readings() {
    let stepped = still(
        "rate_hz = 100\nchip = { preset = \"ideal\", accel_noise_ug_per_rthz = 400, accel_lsb_mg = 0.5 }",
        5.0,
    );
    for value in accel(&readings(&stepped), 2) {
        let steps = value / 0.5e-3;
        assert!((steps - steps.round()).abs() < 1e-9, "{value}");
    }
    let clipped = still(
        "rate_hz = 100\nchip = { preset = \"ideal\", accel_range_g = 0.75 }",
        1.0,
    );
    assert!(accel(&readings(&clipped), 2).iter().all(|v| *v == 0.75));
    let biased = still(
        "rate_hz = 100\nchip = { preset = \"ideal\", accel_bias_mg = [1, -2, 3], gyro_bias_dps = [0.5, 0, -0.25] }",
        1.0,
    );
    let first = readings(&biased)[0];
    let (a, g) = (
        first.accel_g.expect("accel"),
        first.rate_radps.expect("gyro"),
    );
    for (found, expected) in a.into_iter().zip([1e-3, -2e-3, 1.003]) {
        assert!((found - expected).abs() < 1e-12);
    }
    for (found, expected) in g.into_iter().zip([0.5_f64, 0.0, -0.25]) {
        assert!((found - expected.to_radians()).abs() < 1e-12);
    }
}

#[test]
fn drift_follows_the_warming_chip() {
    let board = "rate_hz = 10\nchip = { preset = \"ideal\", accel_drift_mg_per_c = 0.5 }\n\
                 temperature = { start_c = 25, rise_c = 8, settle_s = 5 }";
    let scenario = still(board, 60.0);
    let all = readings(&scenario);
    let k_g_per_c = scenario.boards()[0].errors(scenario.seed()).accel.tempco;
    for axis in 0..3 {
        let values = accel(&all, axis);
        // After twelve time constants all of the rise is there, but for e⁻¹² of it.
        let change_g = values[values.len() - 1] - values[0];
        assert!(
            (change_g - 8.0 * k_g_per_c[axis]).abs() < 1e-7,
            "axis {axis}"
        );
    }
    let last_c = all[all.len() - 1].temperature_c.expect("a thermometer");
    assert!((last_c - 33.0).abs() < 0.2, "{last_c}");
}

#[test]
fn the_clock_of_the_board_stamps_its_own_time() {
    let board =
        "rate_hz = 100\nchip = { preset = \"ideal\" }\nclock = { offset_s = 2.5, rate_ppm = 1000 }";
    let mut boards = render(&still(board, 20.0)).expect("can be done");
    for (true_us, reading) in boards.remove(0).readings {
        let stamp_us = reading.device_time_us.expect("a stamp");
        let expected_us = 2.5e6 + 1.001 * true_us as f64;
        // Both are whole microseconds.
        assert!(
            (stamp_us - expected_us).abs() <= 1.1,
            "{stamp_us} {expected_us}"
        );
    }
    let wrapping =
        "rate_hz = 100\nchip = { preset = \"ideal\" }\nclock = { offset_s = 4294, wraps = true }";
    let stamps: Vec<f64> = readings(&still(wrapping, 3.0))
        .iter()
        .filter_map(|r| r.device_time_us)
        .collect();
    let falls = stamps.windows(2).filter(|pair| pair[1] < pair[0]).count();
    // 2³² µs are 4294.967 s, which comes once within the three seconds.
    assert_eq!(falls, 1);
    assert!(stamps.iter().all(|t| (0.0..4_294_967_296.0).contains(t)));
}

#[test]
fn jitter_moves_the_stamp_with_the_sample() {
    let board = "rate_hz = 100\nchip = { preset = \"ideal\" }\nclock = { jitter_us = 200 }";
    let all = readings(&still(board, 60.0));
    let wander: Vec<f64> = all
        .iter()
        .enumerate()
        .skip(1)
        .map(|(i, r)| r.device_time_us.expect("a stamp") - i as f64 * 1e4)
        .collect();
    check_deviation("jitter", deviation(&wander), 200.0, wander.len());
}

#[test]
fn a_still_accelerometer_reads_local_gravity() {
    for name in Scenario::shipped_names() {
        let scenario = Scenario::shipped(name)
            .expect("shipped")
            .with_script(Script::rest(1.0));
        let timeline = scenario.timeline();
        for board in scenario.boards() {
            let felt = hubplumb_sim::board::sense(&timeline, board.mount, &board.placement, 0.5);
            let expected_g = scenario.car().gravity_mps2 / STANDARD_GRAVITY_MPS2;
            assert!(
                (felt.force_g.norm() - expected_g).abs() < 1e-12,
                "{name} {}",
                board.mount
            );
            assert_eq!(felt.rate_radps.norm(), 0.0);
        }
    }
}
