//! Lines of text boards: what each comes to.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{
    BadReason, ColumnMap, Frame, FrameReader, Reading, STANDARD_GRAVITY_MPS2, WireFormat,
};

const ACCEL: &str = "ax,ay,az";

fn format(name: &str) -> WireFormat {
    WireFormat::from_name(name, None).expect("a known name")
}

fn mapped(header: &str) -> WireFormat {
    let map = ColumnMap::from_header(header).expect("a usable header");
    WireFormat::from_name("csv", Some(map)).expect("a known name")
}

fn frames_of(format: &WireFormat, stream: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(format);
    reader.push(stream);
    std::iter::from_fn(|| reader.next()).collect()
}

/// Frames of the lines after the one that opening the port cut.
fn frames(format: &WireFormat, lines: &str) -> Vec<Frame> {
    let mut frames = frames_of(format, format!("cut\n{lines}\n").as_bytes());
    let first = frames.remove(0);
    assert!(
        matches!(&first, Frame::Bad(bad) if bad.reason == BadReason::Unsynchronised { skipped: 4 }),
        "{first:?}"
    );
    frames
}

#[track_caller]
fn reads(format: &WireFormat, lines: &str, expected: Reading) {
    match frames(format, lines).as_slice() {
        [Frame::Reading(found)] => assert_near(found, &expected, lines),
        other => panic!("{lines:?} came to {other:?}"),
    }
}

#[track_caller]
fn assert_near(found: &Reading, expected: &Reading, lines: &str) {
    let near = |found: f64, expected: f64| (found - expected).abs() < 1e-9;
    let same_one = |found: Option<f64>, expected: Option<f64>| match (found, expected) {
        (Some(found), Some(expected)) => near(found, expected),
        (found, expected) => found == expected,
    };
    let same_three = |found: Option<[f64; 3]>, expected: Option<[f64; 3]>| {
        (0..3).all(|axis| same_one(found.map(|it| it[axis]), expected.map(|it| it[axis])))
    };
    let same = same_one(found.device_time_us, expected.device_time_us)
        && found.sequence == expected.sequence
        && same_three(found.accel_g, expected.accel_g)
        && same_three(found.rate_radps, expected.rate_radps)
        && same_three(found.attitude_rad, expected.attitude_rad)
        && same_one(found.temperature_c, expected.temperature_c);
    assert!(same, "{lines:?}\nread {found:?}\nnot  {expected:?}");
}

#[track_caller]
fn refuses(format: &WireFormat, lines: &str, expected: &BadReason) {
    match frames(format, lines).as_slice() {
        [Frame::Bad(bad)] => assert_eq!(&bad.reason, expected, "{lines:?}"),
        other => panic!("{lines:?} came to {other:?}"),
    }
}

fn accel(x: f64, y: f64, z: f64) -> Reading {
    Reading {
        accel_g: Some([x, y, z]),
        ..Reading::default()
    }
}

fn full() -> Reading {
    Reading {
        device_time_us: Some(1_250_000.0),
        sequence: None,
        accel_g: Some([0.25, -0.5, 0.75]),
        rate_radps: Some([1.5, -2.5, 3.5].map(f64::to_radians)),
        attitude_rad: None,
        tilt_rad: None,
        temperature_c: Some(21.5),
    }
}

#[test]
fn csv_headers_tell_quantity_and_unit() {
    let csv = format("csv");
    let canonical = "t_us,ax,ay,az,gx,gy,gz,temp";
    reads(
        &csv,
        &format!("{canonical}\n1250000,0.25,-0.5,0.75,1.5,-2.5,3.5,21.5"),
        full(),
    );
    reads(
        &csv,
        "Millis;AccX [mg];AccY [mg];AccZ [mg];GyrX (deg/s);GyrY (deg/s);GyrZ (deg/s);Temperature\n\
         1250;250;-500;750;1,5;-2,5;3,5;21,5",
        full(),
    );
    let [x, y, z] = [0.25, -0.5, 0.75].map(|g| g * STANDARD_GRAVITY_MPS2);
    let [p, q, r] = [1.5f64, -2.5, 3.5].map(f64::to_radians);
    reads(
        &csv,
        &format!(
            "time_s accel_x_mps2 accel_y_mps2 accel_z_mps2 gx_rads gy_rads gz_rads temp\n\
             1.25 {x} {y} {z} {p} {q} {r} 21.5"
        ),
        full(),
    );
    reads(&csv, "time,ax,ay,az\n17,0,0,1", accel(0.0, 0.0, 1.0));
    reads(
        &csv,
        "ax,ay,az,mx,my,mz\n0,0,1,33,44,nan",
        accel(0.0, 0.0, 1.0),
    );
    let attitude = Reading {
        attitude_rad: Some([10f64, 20.0, 30.0].map(f64::to_radians)),
        sequence: Some(7),
        ..Reading::default()
    };
    reads(&csv, "seq,roll,pitch,yaw\n7,10,20,30", attitude);
}

#[test]
fn csv_fields_may_be_empty() {
    let canonical = mapped("t_us,ax,ay,az,gx,gy,gz,temp");
    reads(&canonical, ",0.25,-0.5,0.75,,,,", accel(0.25, -0.5, 0.75));
    let rate = Reading {
        rate_radps: Some([0.0; 3]),
        ..Reading::default()
    };
    // Two axes of three are no acceleration.
    reads(&canonical, ",0.25,,0.75,0,0,0,", rate);
    reads(&mapped(ACCEL), "0.25,-0.5,0.75,", accel(0.25, -0.5, 0.75));
    refuses(&canonical, ",,,,,,,21.5", &BadReason::NothingUsable);
}

#[test]
fn csv_lines_that_do_not_fit_are_told() {
    let wrong_count = |found| BadReason::WrongColumnCount { expected: 3, found };
    let not_a_number = |column: &str, text: &str| BadReason::NotANumber {
        column: column.to_owned(),
        text: text.to_owned(),
    };
    let words = |text: &str| BadReason::InformationalText {
        text: text.to_owned(),
    };
    let csv = mapped(ACCEL);
    refuses(&csv, "1,2", &wrong_count(2));
    refuses(&csv, "1,2,3,4", &wrong_count(4));
    refuses(&csv, "1,2,3,,", &wrong_count(5));
    refuses(&csv, "1,nan,3", &not_a_number("ay", "nan"));
    refuses(&csv, "1,2,-inf", &not_a_number("az", "-inf"));
    refuses(&csv, "1,2,ovf", &not_a_number("az", "ovf"));
    refuses(&csv, "1,2,1e999", &not_a_number("az", "1e999"));
    refuses(&csv, "1,2,3x", &not_a_number("az", "3x"));
    refuses(&csv, "chip found at 0x68", &words("chip found at 0x68"));
    refuses(&csv, "time to calibrate x", &words("time to calibrate x"));
    refuses(&csv, "# range 2 g", &words("# range 2 g"));
    refuses(&format("csv"), "1,2,3", &BadReason::NoHeader { columns: 3 });
    refuses(
        &mapped("seq,ax,ay,az"),
        "1.5,0,0,1",
        &not_a_number("seq", "1.5"),
    );
}

#[test]
fn a_header_that_comes_again_changes_nothing() {
    let readings = |format: &WireFormat, lines: &str| {
        let frames = frames(format, lines);
        let good = frames
            .iter()
            .filter(|frame| matches!(frame, Frame::Reading(_)));
        (good.count(), frames.len())
    };
    let lines = "ax,ay,az\n0,0,1\nax,ay,az\n0,0,1";
    assert_eq!(readings(&format("csv"), lines), (2, 2));
    assert_eq!(readings(&mapped(ACCEL), lines), (2, 2));
}

#[test]
fn another_header_is_followed_or_refused() {
    let lines = "ax,ay,az\n0,0,1\nay,ax,az\n0.5,0,1";
    let Some(Frame::Reading(last)) = frames(&format("csv"), lines).pop() else {
        panic!("no reading")
    };
    assert_eq!(last.accel_g, Some([0.0, 0.5, 1.0]));

    let frames = frames(&mapped(ACCEL), lines);
    let codes: Vec<_> = frames
        .iter()
        .map(|frame| match frame {
            Frame::Reading(_) => "good",
            Frame::Bad(bad) => bad.reason.code(),
        })
        .collect();
    assert_eq!(codes, ["good", "header_disagrees", "header_disagrees"]);
}

#[test]
fn labelled_lines_are_read() {
    let labelled = format("labelled");
    reads(
        &labelled,
        "t_us:1250000,ax:0.25,ay:-0.5,az:0.75,gx:1.5,gy:-2.5,gz:3.5,temp:21.5",
        full(),
    );
    reads(
        &labelled,
        "Accel X: 0.25, Accel Y: -0.5, Accel Z: 0.75, Lid: open",
        accel(0.25, -0.5, 0.75),
    );
    reads(&labelled, "az=1 ax=0 ay=0", accel(0.0, 0.0, 1.0));
    refuses(&labelled, "temp:21", &BadReason::NothingUsable);
    refuses(&labelled, "ax:1,ay:1,az:", &BadReason::NothingUsable);
    let not_a_number = BadReason::NotANumber {
        column: "ay".to_owned(),
        text: "nan".to_owned(),
    };
    refuses(&labelled, "ax:0,ay:nan,az:1", &not_a_number);
    for words in ["ready", "0.1,0.2,0.3", "state: open", "Time: now"] {
        let text = words.to_owned();
        refuses(&labelled, words, &BadReason::InformationalText { text });
    }
}

#[test]
fn json_lines_are_read() {
    let json = format("json-lines");
    reads(
        &json,
        r#"{"t_us":1250000,"ax":0.25,"ay":-0.5,"az":0.75,"gx":1.5,"gy":-2.5,"gz":3.5,"temp":21.5}"#,
        full(),
    );
    reads(
        &json,
        r#"{"millis":1250,"rate":100,"accel":[0.25,-0.5,0.75],"gyro":[1.5,-2.5,3.5],"temp":21.5,"name":"b"}"#,
        full(),
    );
    reads(
        &json,
        r#"{"t_ms":1250,"imu":{"accel":{"x":0.25,"y":-0.5,"z":0.75}},"gyro_dps":{"x":1.5,"y":-2.5,"z":3.5},"temp":21.5}"#,
        Reading { ..full() },
    );
    reads(
        &json,
        r#"{"a":[0,0,1],"gx":null,"temp":null}"#,
        accel(0.0, 0.0, 1.0),
    );
    refuses(&json, r#"{"temp":21}"#, &BadReason::NothingUsable);
    refuses(
        &json,
        r#"{"mag":{"x":1,"y":2,"z":3}}"#,
        &BadReason::NothingUsable,
    );
    let three = BadReason::WrongColumnCount {
        expected: 3,
        found: 2,
    };
    refuses(&json, r#"{"accel":[0,1]}"#, &three);
    let not_a_number = BadReason::NotANumber {
        column: "ax".to_owned(),
        text: "\"0\"".to_owned(),
    };
    refuses(&json, r#"{"ax":"0","ay":0,"az":1}"#, &not_a_number);
    let words = BadReason::InformationalText {
        text: "ready".to_owned(),
    };
    refuses(&json, "ready", &words);
    for bad in [
        r#"{"ax":1,"#,
        r#"{"ax":nan}"#,
        r#"{"ax":1}}"#,
        "{",
        r#"{"ax":1e999}"#,
    ] {
        let frames = frames(&json, bad);
        let is_bad_json =
            matches!(frames.as_slice(), [Frame::Bad(frame)] if frame.reason.code() == "bad_json");
        assert!(is_bad_json, "{bad} came to {frames:?}");
    }
}

#[test]
fn the_first_line_counts_only_where_it_shows_to_be_whole() {
    let codes = |format: &WireFormat, stream: &str| {
        let frames = frames_of(format, stream.as_bytes());
        let codes = frames.iter().map(|frame| match frame {
            Frame::Reading(_) => "good",
            Frame::Bad(bad) => bad.reason.code(),
        });
        codes.collect::<Vec<_>>()
    };
    let csv = format("csv");
    assert_eq!(codes(&csv, "t_us,ax,ay,az\n1,0,0,1\n"), ["good"]);
    assert_eq!(codes(&csv, "\r\nax,ay,az\n0,0,1\n"), ["good"]);
    // The tail of `time_us`.
    assert_eq!(
        codes(&csv, "e_us,ax,ay,az\n1,0,0,1\n"),
        ["unsynchronised", "no_header"]
    );
    assert_eq!(
        codes(&mapped(ACCEL), "0,0,1\n0,0,1\n"),
        ["unsynchronised", "good"]
    );
    assert_eq!(
        codes(&format("labelled"), "ax:0 ay:0 az:1\n"),
        ["unsynchronised"]
    );
    assert_eq!(codes(&format("json-lines"), "{\"a\":[0,0,1]}\n"), ["good"]);
    assert_eq!(
        codes(&format("json-lines"), "0,1]}\n{\"a\":[0,0,1]}\n"),
        ["unsynchronised", "good"]
    );
}

#[test]
fn noise_of_an_idle_line_costs_no_good_line() {
    let stream = b"\xff\x00\xffax,ay,az\n\x00\x000,0,1\n\xff\n0,0,1\n";
    let frames = frames_of(&format("csv"), stream);
    let skipped: Vec<_> = frames
        .iter()
        .filter_map(|frame| match frame {
            Frame::Bad(bad) => Some((bad.reason.code(), bad.offset, bad.len)),
            Frame::Reading(_) => None,
        })
        .collect();
    let unsynchronised = |offset, len| ("unsynchronised", offset, len);
    assert_eq!(
        skipped,
        [
            unsynchronised(0, 3),
            unsynchronised(12, 2),
            unsynchronised(20, 1)
        ]
    );
    assert_eq!(frames.len() - skipped.len(), 2);
}

#[test]
fn bad_lines_keep_their_place_and_their_bytes() {
    let stream = b"\nax,ay,az\n0,0,\xc3\x28\n";
    let frames = frames_of(&format("csv"), stream);
    let [Frame::Bad(bad)] = frames.as_slice() else {
        panic!("{frames:?}")
    };
    assert_eq!(bad.reason, BadReason::NotUtf8 { valid_up_to: 4 });
    assert_eq!((bad.offset, bad.len), (10, 7));
    assert_eq!(bad.evidence.to_string(), r"0,0,\xc3(\n");
}

#[test]
fn a_line_without_end_is_given_up_once() {
    let mut stream = b"\nax,ay,az\n".to_vec();
    stream.extend(std::iter::repeat_n(b'7', 5000));
    stream.extend_from_slice(b"\n0,0,1\n");
    let frames = frames_of(&format("csv"), &stream);
    let [Frame::Bad(bad), Frame::Reading(_)] = frames.as_slice() else {
        panic!("{frames:?}")
    };
    assert_eq!(bad.reason, BadReason::LineTooLong { limit: 512 });
    assert_eq!((bad.offset, bad.len), (10, 512));

    // A line of exactly the limit is read; it is a number of 512 digits, which is too large.
    let mut stream = b"\nax,ay,az\n0,0,".to_vec();
    stream.extend(std::iter::repeat_n(b'7', 508));
    stream.extend_from_slice(b"\n");
    let frames = frames_of(&format("csv"), &stream);
    assert!(
        matches!(frames.as_slice(), [Frame::Bad(bad)] if bad.reason.code() == "not_a_number"),
        "{frames:?}"
    );
}
