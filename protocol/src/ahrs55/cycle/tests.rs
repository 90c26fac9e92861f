use super::*;
use crate::ahrs55::frame::bytes_of;

fn cycle() -> Cycle {
    Cycle::new(TemperatureScale::Hundredths)
}

/// What a frame of each type ends, written as the parts of each reading that comes out.
fn check(cycle: &mut Cycle, types: &[u8], expected: &[&str]) {
    let found: Vec<String> = types.iter().map(|&byte| told(&feed(cycle, byte))).collect();
    assert_eq!(found, expected, "{types:02x?}");
}

fn feed(cycle: &mut Cycle, kind: u8) -> Ended {
    let data = match kind {
        0x59 => bytes_of([i16::MAX, 0, 0, 0]),
        0x50 => [24, 1, 1, 0, 0, 0, 0, 0],
        _ => bytes_of([100, 200, 300, 2500]),
    };
    cycle.frame(
        Kind::of(kind).expect("a known type"),
        RawFrame { kind, data },
    )
}

fn told(ended: &Ended) -> String {
    let mut parts: Vec<String> = ended.readings.iter().flatten().map(parts).collect();
    if ended.unusable {
        parts.push("unusable".to_owned());
    }
    parts.join("+")
}

fn parts(reading: &Reading) -> String {
    let parts = [
        ("t", reading.device_time_us.is_some()),
        ("a", reading.accel_g.is_some()),
        ("g", reading.rate_radps.is_some()),
        ("e", reading.attitude_rad.is_some()),
    ];
    parts
        .into_iter()
        .filter_map(|(name, is_there)| is_there.then_some(name))
        .collect()
}

#[test]
fn a_cycle_once_seen_whole_gives_its_reading_with_its_last_frame() {
    let mut cycle = cycle();
    check(
        &mut cycle,
        &[
            0x52, 0x53, 0x51, 0x52, 0x53, 0x51, 0x52, 0x53, 0x51, 0x52, 0x53,
        ],
        &["", "", "ge", "", "", "age", "", "age", "", "", "age"],
    );
}

#[test]
fn a_board_that_sends_one_type_gives_a_reading_each() {
    check(
        &mut cycle(),
        &[0x51, 0x51, 0x51, 0x51],
        &["", "a", "a+a", "a"],
    );
}

#[test]
fn time_and_magnetic_field_do_not_hold_a_reading_up() {
    check(
        &mut cycle(),
        &[
            0x50, 0x51, 0x54, 0x50, 0x51, 0x54, 0x50, 0x51, 0x54, 0x50, 0x51,
        ],
        &["", "", "", "ta", "", "", "ta", "ta", "", "", "ta"],
    );
}

#[test]
fn a_lost_frame_neither_mixes_cycles_nor_is_learned() {
    let mut cycle = cycle();
    check(
        &mut cycle,
        &[0x51, 0x52, 0x51, 0x52, 0x51, 0x52],
        &["", "", "ag", "", "ag", "ag"],
    );
    // Of the next cycle the second frame is lost: what is there comes when the cycle is over.
    check(&mut cycle, &[0x51], &[""]);
    cycle.frame_lost();
    check(&mut cycle, &[0x51, 0x52], &["a", "ag"]);
    // Bytes in any number are lost: the next frame may be of another cycle.
    check(&mut cycle, &[0x51], &[""]);
    assert_eq!(told(&cycle.place_lost()), "a");
    check(&mut cycle, &[0x52, 0x51, 0x52], &["", "g", "ag"]);
}

#[test]
fn a_lost_first_frame_does_not_make_the_rest_a_whole_cycle() {
    let mut cycle = cycle();
    check(
        &mut cycle,
        &[0x51, 0x52, 0x53, 0x51, 0x52, 0x53, 0x51, 0x52, 0x53],
        &["", "", "", "age", "", "", "age", "", "age"],
    );
    cycle.frame_lost();
    check(
        &mut cycle,
        &[0x52, 0x53, 0x51, 0x52, 0x53],
        &["", "", "ge", "", "age"],
    );
}

#[test]
fn more_content_than_before_is_learned() {
    let mut cycle = cycle();
    check(
        &mut cycle,
        &[0x51, 0x51, 0x51, 0x51],
        &["", "a", "a+a", "a"],
    );
    check(
        &mut cycle,
        // The first frame of the new content comes after its reading was given.
        &[0x52, 0x51, 0x52, 0x51, 0x52],
        &["", "", "ag", "", "ag"],
    );
}

#[test]
fn a_cycle_of_nothing_usable_is_told() {
    check(
        &mut cycle(),
        &[0x50, 0x50, 0x50],
        &["", "unusable", "unusable"],
    );
}

#[test]
fn the_older_scale_of_temperature_is_that_of_the_motion_chip() {
    let mut cycle = Cycle::new(TemperatureScale::SixAxis);
    let data = bytes_of([0, 0, 2048, -3400]);
    let _ = cycle.frame(Kind::Accel, RawFrame { kind: 0x51, data });
    let [Some(reading), _] = cycle.place_lost().readings else {
        panic!("no reading")
    };
    // −3400 / 340 + 36.53, formula of PS-MPU-6000A r3.4.
    assert!((reading.temperature_c.expect("sent") - 26.53).abs() < 1e-12);
    assert_eq!(reading.accel_g, Some([0.0, 0.0, 1.0]));
}

#[test]
fn a_quaternion_becomes_an_attitude_where_no_angles_come() {
    let check = |quaternion: [f64; 4], expected_deg: [f64; 3]| {
        let found = quaternion::attitude_rad(quaternion)
            .expect("a length")
            .map(f64::to_degrees);
        for (found, expected) in found.into_iter().zip(expected_deg) {
            assert!(
                (found - expected).abs() < 1e-9,
                "{quaternion:?}: {found} is not {expected}"
            );
        }
    };
    let (half_sin, half_cos) = 15f64.to_radians().sin_cos();
    check([1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0]);
    check([half_cos, half_sin, 0.0, 0.0], [30.0, 0.0, 0.0]);
    check([half_cos, 0.0, half_sin, 0.0], [0.0, 30.0, 0.0]);
    check([half_cos, 0.0, 0.0, half_sin], [0.0, 0.0, 30.0]);
    // Yaw 90° first, then pitch 30° about the turned axis: q = q_yaw · q_pitch.
    let half = 0.5f64.sqrt();
    check(
        [
            half * half_cos,
            -half * half_sin,
            half * half_sin,
            half * half_cos,
        ],
        [0.0, 30.0, 90.0],
    );
    assert_eq!(quaternion::attitude_rad([0.1, 0.0, 0.0, 0.0]), None);

    let mut only_quaternion = cycle();
    let mut both = cycle();
    let _ = feed(&mut only_quaternion, 0x59);
    assert_eq!(told(&only_quaternion.place_lost()), "e");
    let _ = (feed(&mut both, 0x53), feed(&mut both, 0x59));
    let [Some(reading), _] = both.place_lost().readings else {
        panic!("no reading")
    };
    assert_eq!(reading.attitude_rad, Some([100, 200, 300].map(angle_rad)));
}
