//! What the figures of a chip mean for a tilt, against worked figures.
//!
//! Source of the expected figures, unless said otherwise: worked out by hand from the
//! small-angle rule that 1 g · sin(tilt) is felt, so 1 mg is 0.0573°.

use hubplumb_core::chip::{Chip, ChipFigures};
use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::Sample;
use hubplumb_core::rest::RestTally;
use hubplumb_core::time::HostTime;

/// Tilt for which a level board feels so much sideways, degrees.
fn tilt_deg(sideways_g: f64) -> f64 {
    sideways_g.asin().to_degrees()
}

fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} for {expected}");
}

#[test]
fn offset_and_heat_as_tilt() {
    close(tilt_deg(1e-3), 0.0573, 5e-5);
    let named = |name: &str| Chip::named(name).unwrap().figures(false);
    // ±20 mg are ±1.15°.
    close(tilt_deg(named("lsm6dso").accel_offset_g), 1.15, 0.005);
    // 0.1 mg/°C over 10 °C is 0.057°.
    let cold = ChipFigures {
        accel_offset_g: 0.0,
        ..named("lsm6dso")
    };
    close(
        tilt_deg(cold.drifted(10.0, 0.0).accel_offset_g),
        0.057,
        5e-4,
    );
}

/// Averaging over T has a noise bandwidth of 1/(2T), one-sided: one second leaves 0.5 Hz.
#[test]
fn noise_averaged_to_half_a_hertz() {
    let chip = ChipFigures {
        accel_noise_g_rthz: 100e-6,
        ..ChipFigures::IDEAL
    };
    let mut rest = RestTally::new();
    for index in 0..=100 {
        rest.add(&Sample {
            at: HostTime::from_us(index * 10_000),
            accel_g: Vec3::new(0.0, 0.0, 1.0),
            rate_radps: None,
            temperature_c: None,
        });
    }
    rest.count_all();
    let measured = rest.measure(&chip).unwrap();
    close(measured.direction_noise.deg(), 0.004, 1e-4);
}

/// A filter with one pole at f lets through as much noise as a sharp edge at π/2 · f = 1.57 · f.
/// The filter is run step by step on its impulse response: white noise of density N at the
/// rate R has the variance N² · R/2 a sample, and comes out with the sum of the squared response.
#[test]
fn noise_behind_a_filter_with_one_pole() {
    let (density_g, corner_hz, rate_hz) = (100e-6, 5.0, 10_000.0);
    let keep = (-2.0 * std::f64::consts::PI * corner_hz / rate_hz).exp();
    let mut response = 1.0 - keep;
    let mut squares = 0.0;
    for _ in 0..100_000 {
        squares += response * response;
        response *= keep;
    }
    let out_g = density_g * (rate_hz / 2.0 * squares).sqrt();
    let rule_g = density_g * (1.57 * corner_hz).sqrt();
    close(out_g / rule_g, 1.0, 1e-3);
}

/// The classes were judged before the chips had names; figures of chips of the same sort
/// must come out near them.
#[test]
fn calibrated_chips_are_near_the_classes_of_their_sort() {
    let check = |name: &str, class: ChipFigures| {
        let chip = Chip::named(name).unwrap().figures(true);
        for (found, judged, what) in [
            (chip.accel_offset_g, class.accel_offset_g, "offset"),
            (chip.accel_scale, class.accel_scale, "scale"),
            (chip.accel_cross_rad, class.accel_cross_rad, "cross"),
            (
                chip.accel_noise_g_rthz,
                class.accel_noise_g_rthz,
                "noise density",
            ),
        ] {
            let ratio = found / judged;
            assert!((0.5..=2.0).contains(&ratio), "{name}: {what}: {ratio}");
        }
    };
    check("mpu6050", ChipFigures::CHEAP);
    check("lsm6dso", ChipFigures::GOOD);
    check("adxl355", ChipFigures::INCLINOMETER);
}

#[test]
fn a_calibration_helps_every_chip_and_leaves_its_gyro() {
    for sheet in Chip::products() {
        let (raw, done) = (sheet.raw(), sheet.calibrated());
        assert!(done.accel_offset_g < raw.accel_offset_g, "{}", sheet.name);
        assert!(done.accel_scale < raw.accel_scale, "{}", sheet.name);
        assert!(done.accel_cross_rad < raw.accel_cross_rad, "{}", sheet.name);
        assert_eq!(done.gyro_scale, raw.gyro_scale, "{}", sheet.name);
        assert_eq!(raw.gyro_scale > 0.0, sheet.gyro.is_some(), "{}", sheet.name);
    }
}
