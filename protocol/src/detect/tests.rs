use super::*;
use crate::{ColumnMap, Encoder, Reading};

/// A board at rest, a little tilted, 100 readings a second.
fn at_rest(number: u32) -> Reading {
    let number = f64::from(number);
    Reading {
        device_time_us: Some(5e6 + 10_000.0 * number),
        sequence: None,
        accel_g: Some([0.02, -0.05 + 0.001 * (number % 3.0), 0.99]),
        rate_radps: Some([0.01, -0.02, 0.005]),
        attitude_rad: None,
        temperature_c: Some(24.5),
    }
}

fn encoded(format: &WireFormat, count: u32) -> Vec<u8> {
    let encoder = Encoder::new(format);
    let mut bytes = Vec::new();
    encoder.preamble(&mut bytes);
    for number in 0..count {
        encoder.encode(&at_rest(number), &mut bytes);
    }
    bytes
}

fn listen(bytes: &[u8]) -> Detector {
    let mut detector = Detector::new();
    detector.observe(bytes);
    detector
}

#[track_caller]
fn guess(bytes: &[u8]) -> Guess {
    let detector = listen(bytes);
    match detector.verdict() {
        Some(guess) => guess,
        None => panic!("no verdict: {:?}", detector.silence()),
    }
}

/// Reads `bytes` on in the format that was guessed: acceleration and device time of the first reading.
fn read_on(guess: &Guess, bytes: &[u8]) -> Reading {
    let mut reader = crate::FrameReader::new(&guess.format);
    reader.push(b"cut\n");
    reader.push(bytes);
    loop {
        match reader.next() {
            Some(crate::Frame::Reading(reading)) => return reading,
            Some(crate::Frame::Bad(_)) => {}
            None => panic!("no reading by {guess:?}"),
        }
    }
}

fn format(name: &str) -> WireFormat {
    WireFormat::from_name(name, None).expect("a known name")
}

#[track_caller]
fn assert_reads_as_sent(guess: &Guess, bytes: &[u8]) {
    let found = read_on(guess, bytes);
    let near = |found: [f64; 3], sent: [f64; 3]| {
        found
            .iter()
            .zip(sent)
            .all(|(found, sent)| (found - sent).abs() < 2e-3)
    };
    let sent = at_rest(0);
    let accel = found.accel_g.zip(sent.accel_g);
    assert!(
        accel.is_some_and(|(found, sent)| near(found, sent)),
        "{found:?} by {guess:?}"
    );
    let rate = found.rate_radps.zip(sent.rate_radps);
    assert!(
        rate.is_none_or(|(found, sent)| near(found, sent)),
        "{found:?} by {guess:?}"
    );
}

/// Nobody is sure of frames without a sum.
fn surest(name: &str) -> Confidence {
    match name {
        "ahrs55-radio" => Confidence::Weak,
        _ => Confidence::Strong,
    }
}

#[test]
fn every_format_is_known_by_its_bytes() {
    for name in WireFormat::NAMES {
        let bytes = encoded(&format(name), 20);
        let guess = guess(&bytes);
        assert_eq!(guess.format.name(), name, "{}", guess.why);
        assert_eq!(guess.confidence, surest(name), "{}", guess.why);
        assert_eq!(guess.bad, 0, "{}", guess.why);
        assert_reads_as_sent(&guess, &bytes);
    }
}

/// Only the reader of the format itself finds anything in it.
#[test]
fn no_format_is_taken_for_another() {
    for name in WireFormat::NAMES {
        let bytes = encoded(&format(name), 200);
        for other in WireFormat::NAMES {
            // Two scales of one format; and the ears for text need their lines whole.
            if name.starts_with("ahrs55")
                && other.starts_with("ahrs55")
                && !other.ends_with("radio")
                || name == other
            {
                continue;
            }
            let mut reader = crate::FrameReader::new(&format(other));
            reader.push(&bytes);
            while reader.next().is_some() {}
            assert_eq!(reader.counts().good, 0, "{name} read as {other}");
        }
    }
}

/// Pseudo-random bytes, by the generator of Park and Miller (16807, 2³¹ − 1).
fn random_bytes(seed: u64, count: usize) -> Vec<u8> {
    let mut state = seed;
    let next = std::iter::repeat_with(|| {
        state = state * 16_807 % 2_147_483_647;
        u8::try_from(state >> 8 & 0xff).expect("a byte")
    });
    next.take(count).collect()
}

#[test]
fn random_bytes_and_noise_are_no_format() {
    for seed in 1..=20 {
        let detector = listen(&random_bytes(seed, 20_000));
        assert_eq!(detector.verdict(), None, "seed {seed}");
    }
    let noises: [&[u8]; 7] = [
        &[0x00],
        &[0xff],
        &[0x55],
        &[0xaa],
        &[0x00, 0xff],
        &[0xfe, 0x80, 0x00, 0xf8],
        &[0x55, 0x61],
    ];
    for noise in noises {
        let detector = listen(&noise.repeat(2000));
        assert_eq!(detector.verdict(), None, "{noise:02x?}");
    }
}

/// Lines of 20 characters that begin with `Ua`, which is 55 61.
#[test]
fn text_is_not_taken_for_radio_frames() {
    let detector = listen(&b"Ua: 230.1 V ac ok.\r\n".repeat(50));
    assert!(detector.verdict().is_none(), "{:?}", detector.verdict());
}

/// Lines of a board at rest with these columns, in these units, without a header.
fn bare_lines(header: &str) -> Vec<u8> {
    let map = ColumnMap::from_header(header).expect("usable");
    let bytes = encoded(&WireFormat::Csv(Columns::Mapped(map)), 20);
    let end = bytes
        .iter()
        .position(|byte| *byte == b'\n')
        .expect("a header");
    bytes[end + 1..].to_vec()
}

#[test]
fn columns_without_a_header_are_supposed_and_said_to_be() {
    let check = |header: &str, map: &str| {
        let bytes = bare_lines(header);
        let guess = guess(&bytes);
        let found = guess.format.columns().map(ToString::to_string);
        assert_eq!(found.as_deref(), Some(map), "{header}: {}", guess.why);
        assert_eq!(guess.confidence, Confidence::Weak, "{}", guess.why);
        assert!(guess.why.contains("no header came"), "{}", guess.why);
        assert_reads_as_sent(&guess, &bytes);
    };
    check("ax,ay,az", "ax [g],ay [g],az [g]");
    check("ax_mg,ay_mg,az_mg", "ax [mg],ay [mg],az [mg]");
    check(
        "ax_mps2,ay_mps2,az_mps2,gx_rads,gy_rads,gz_rads",
        "ax [m/s2],ay [m/s2],az [m/s2],gx [rad/s],gy [rad/s],gz [rad/s]",
    );
    check(
        "t_ms,ax,ay,az,gx,gy,gz",
        "t [ms],ax [g],ay [g],az [g],gx [deg/s],gy [deg/s],gz [deg/s]",
    );
    check(
        "ax,ay,az,gx,gy,gz,temp",
        "ax [g],ay [g],az [g],gx [deg/s],gy [deg/s],gz [deg/s],temp [c]",
    );
    check(
        "t_us,ax,ay,az,gx,gy,gz,temp",
        "t [us],ax [g],ay [g],az [g],gx [deg/s],gy [deg/s],gz [deg/s],temp [c]",
    );
    check(
        "t_s,ax_mg,ay_mg,az_mg,gx,gy,gz,temp",
        "t [s],ax [mg],ay [mg],az [mg],gx [deg/s],gy [deg/s],gz [deg/s],temp [c]",
    );
}

#[test]
fn units_nobody_named_are_told_by_gravity_and_by_the_steps_of_the_clock() {
    let lines = |line: &dyn Fn(u32) -> String| {
        (0..20)
            .map(|number| line(number) + "\n")
            .collect::<String>()
    };
    let si = |number: u32| {
        format!(
            "time:{},ax:0.2,ay:-0.48,az:9.7,gx:0.01,gy:-0.02,gz:0.005",
            10 * number
        )
    };
    let labelled = guess(lines(&si).as_bytes());
    assert_eq!(labelled.confidence, Confidence::Weak, "{}", labelled.why);
    assert!(labelled.why.contains("m/s2"), "{}", labelled.why);
    let reading = read_on(&labelled, format!("{}\n", si(300)).as_bytes());
    assert_eq!(reading.device_time_us, Some(3e6));
    assert_eq!(reading.rate_radps, Some([0.01, -0.02, 0.005]));
    assert!(
        reading
            .accel_g
            .is_some_and(|[.., z]| (z - 0.98912).abs() < 1e-4)
    );

    let csv = format!(
        "time,x,y,z\n{}",
        lines(&|number| format!("{},20,-50,990", 10 * number))
    );
    let csv = guess(csv.as_bytes());
    assert_eq!(csv.confidence, Confidence::Weak, "{}", csv.why);
    let found = csv.format.columns().map(ToString::to_string);
    assert_eq!(found.as_deref(), Some("t [ms],ax [mg],ay [mg],az [mg]"));
}

#[test]
fn a_board_heard_in_the_middle_is_known_too() {
    for name in WireFormat::NAMES {
        let bytes = encoded(&format(name), 40);
        let guess = guess(&bytes[bytes.len() / 3..]);
        assert_eq!(guess.format.name(), name, "{}", guess.why);
        assert_reads_as_sent(&guess, &bytes);
    }
}

#[test]
fn a_board_in_motion_is_not_trusted_with_units() {
    let moving: String = (0..20).map(|_| "ax:1.5,ay:2.0,az:1.5\n").collect();
    let guess = guess(moving.as_bytes());
    assert_eq!(guess.confidence, Confidence::Weak);
    assert!(guess.why.contains("not that of rest"), "{}", guess.why);
}

#[test]
fn columns_that_make_no_sense_at_rest_are_not_guessed() {
    for line in [
        "1.5,2.0,1.5\n",
        "0,0,1,2\n",
        "3,3,3,3,3,3\n",
        "1,2,3,4,5,6,7,8\n",
    ] {
        let detector = listen(line.repeat(30).as_bytes());
        assert_eq!(detector.verdict(), None, "{line}");
        assert!(
            matches!(detector.silence(), Some(Silence::Text { .. })),
            "{line}"
        );
    }
}

#[test]
fn what_nothing_explains_is_described() {
    let check = |bytes: &[u8], expected: &str| {
        let silence = listen(bytes).silence().expect("nothing explains it");
        let told = silence.to_string();
        assert!(told.contains(expected), "{told}");
    };
    check(b"", "nothing arrives");
    check(b"ab", "only 2 bytes");
    check(&[0xff; 200], "200 of 200 bytes are 0x00 or 0xFF");
    check(&[0x00; 20], "speed is likely wrong");
    check(
        &"ready\n".repeat(30).into_bytes(),
        "no readings are in them",
    );
    let noise: Vec<u8> = (0..=u8::MAX)
        .map(|n| n.wrapping_mul(n).wrapping_mul(7) | 0x80)
        .collect();
    check(&noise, "nothing explains them");
}

#[test]
fn one_frame_alone_is_no_verdict() {
    let bytes = encoded(&format("json-lines"), 1);
    assert_eq!(listen(&bytes).verdict(), None);
}

#[test]
fn a_header_that_changes_starts_anew() {
    let mut bytes = encoded(&format("csv"), 20);
    bytes.extend_from_slice(b"ax,ay,az\r\n");
    bytes.extend_from_slice(&b"0.02,-0.05,0.99\r\n".repeat(6));
    let guess = guess(&bytes);
    assert_eq!((guess.good, guess.bad), (6, 0), "{}", guess.why);
    assert_eq!(guess.format.columns().map(ColumnMap::len), Some(3));
}
