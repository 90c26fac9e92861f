//! A format that is written down is read again exactly as it was.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::detect::Detector;
use hubplumb_protocol::{ColumnMap, WireFormat};
use serde::{Deserialize, Serialize};

#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Kept {
    format: WireFormat,
}

fn again(format: &WireFormat) -> WireFormat {
    let kept = Kept {
        format: format.clone(),
    };
    let text = toml::to_string(&kept).expect("it can be written");
    let read: Kept = toml::from_str(&text).unwrap_or_else(|error| panic!("{text}\n{error}"));
    assert_eq!(read, kept, "{text}");
    let json = serde_json::to_string(&kept).expect("it can be written");
    assert_eq!(serde_json::from_str::<Kept>(&json).expect("read"), kept);
    read.format
}

#[test]
fn formats_by_name_and_by_columns() {
    for name in WireFormat::NAMES {
        let Ok(format) = WireFormat::from_name(name, None) else {
            continue;
        };
        again(&format);
    }
    for toml in [
        "format = { format = \"csv\", columns = [\"t_ms\", \"ax_mg\", \"ay_mg\", \"az_mg\", \"-\"] }",
        "format = { format = \"labelled\", columns = [{ label = \"X\", quantity = \"ax\", unit = \"g\", scale = 0.000061 }, { label = \"Y\", quantity = \"ay\", unit = \"g\", scale = 0.000061 }, { label = \"Z\", quantity = \"az\", unit = \"g\", scale = 0.000061 }] }",
    ] {
        let kept: Kept = toml::from_str(toml).expect("sound");
        again(&kept.format);
    }
}

/// Headers with columns that are passed over keep their labels: a board that prints the
/// same header again must agree with what was kept.
#[test]
fn columns_of_a_header() {
    let map = ColumnMap::from_header("t_us,ax_mps2,ay_mps2,az_mps2,mag x,temp").expect("sound");
    again(&WireFormat::from_name("csv", Some(map)).expect("sound"));
}

/// What listening finds: units that no name tells.
#[test]
fn formats_that_were_found_by_listening() {
    let check = |line: fn(u32) -> String, name: &str| {
        let mut detector = Detector::new();
        detector.observe(b"\r\n");
        for number in 0..40 {
            detector.observe(line(number).as_bytes());
        }
        let guess = detector.verdict().expect("a guess");
        assert_eq!(guess.format.name(), name);
        again(&guess.format);
    };
    check(
        |n| format!("ax:0.1,ay:-0.2,az:9.8{},gx:0.01,gy:0.0,gz:0.0\r\n", n % 10),
        "labelled",
    );
    check(
        |n| format!("{},0.01,-0.02,0.99{},0.1,0.2,0.3\r\n", n * 10, n % 10),
        "csv",
    );
    check(
        |n| {
            format!(
                "{{\"time\":{},\"ax\":0.0,\"ay\":9.80{},\"az\":0.1}}\r\n",
                n * 10,
                n % 10
            )
        },
        "json-lines",
    );
}

#[test]
fn what_was_changed_into_something_else_is_refused() {
    for toml in [
        "format = { format = \"csv\", map = { from_header = true, columns = [] } }",
        "format = { format = \"csv\", map = { from_header = true, columns = [{ holds = { quantity = \"ax\", unit = \"s\" } }] } }",
        "format = { format = \"csv\", units = { accel = \"dps\", rate = \"dps\" } }",
        "format = { format = \"ahrs55\", units = { accel = \"g\", rate = \"dps\" } }",
    ] {
        assert!(toml::from_str::<Kept>(toml).is_err(), "{toml}");
    }
}
