//! Recordings whole, torn and wrong.

use std::io::Write as _;

use super::*;

fn lines(count: i64) -> String {
    (0..count).fold("t_us,ax,ay,az,gx,gy,gz,temp\n".to_owned(), |text, n| {
        format!("{text}{},0.01,-0.02,0.99,1,2,180,21.5\n", n * 10_000)
    })
}

fn told(text: &[u8]) -> Result<Recording, CsvError> {
    read(text, Path::new("a.csv"))
}

#[test]
fn readings_come_out_in_the_units_of_the_core() {
    let recording = told(lines(200).as_bytes()).unwrap();
    assert_eq!((recording.readings.len(), recording.cut_short), (200, None));
    let reading = recording.readings[3];
    assert_eq!(reading.at.us(), 30_000);
    assert_eq!(reading.accel_g.to_array(), [0.01, -0.02, 0.99]);
    let rate = reading.rate_radps.unwrap().to_array();
    assert!((rate[2] - std::f64::consts::PI).abs() < 1e-12, "{rate:?}");
    assert_eq!(reading.temperature_c, Some(21.5));
}

#[test]
fn columns_are_found_by_name_and_may_be_missing_or_empty() {
    let check = |header: &str, line: &str, gyro: bool, temperature_c: Option<f64>| {
        let text = (0..150).fold(format!("{header}\n"), |text, n| {
            format!("{text}{}\n", line.replace('T', &n.to_string()))
        });
        let recording = told(text.as_bytes()).unwrap();
        let reading = recording.readings[7];
        assert_eq!(reading.accel_g.to_array(), [1.0, 2.0, 3.0], "{header}");
        assert_eq!(reading.rate_radps.is_some(), gyro, "{header}");
        assert_eq!(reading.temperature_c, temperature_c, "{header}");
    };
    check("t_us,ax,ay,az", "T,1,2,3", false, None);
    check("az,ay,ax,t_us", "3,2,1,T", false, None);
    check("t_us, ax, ay, az, volt", "T, 1, 2, 3, -", false, None);
    check(
        "\u{feff}t_us,ax,ay,az,temp",
        "T.0,1,2,3,20",
        false,
        Some(20.0),
    );
    check("t_us,ax,ay,az,gx,gy,gz,temp", "T,1,2,3,,,,", false, None);
    check("t_us,ax,ay,az,gx,gy,gz,temp", "T,1,2,3,0,0,0,", true, None);
    check(
        "# a note\nt_us,ax,ay,az",
        "T,1,2,3\n# on the way",
        false,
        None,
    );
}

#[test]
fn a_repeated_header_and_a_repeated_time_are_passed_over() {
    let text = lines(150).replace(
        "500000,",
        "500000,0,0,1,0,0,0,20\nt_us,ax,ay,az,gx,gy,gz,temp\n500000,",
    );
    let recording = told(text.as_bytes()).unwrap();
    assert_eq!((recording.readings.len(), recording.same_time), (150, 1));
}

#[test]
fn a_last_line_without_an_end_is_left_out_and_told() {
    for tail in [
        "1500000,0.01",
        "1500000,0.01,-0.02,0.99,1,2,3,2",
        "15",
        "1500000,0.0x",
        "\u{0}\u{0}\u{0}",
    ] {
        let recording = told(format!("{}{tail}", lines(150)).as_bytes()).unwrap();
        assert_eq!(recording.readings.len(), 150, "{tail}");
        let cut = Some(CutShort::Line { line: 152 });
        assert_eq!(recording.cut_short, cut, "{tail}");
    }
    let mut torn = lines(150).into_bytes();
    torn.extend(b"1500000,0.\xff\xfe");
    let recording = told(&torn).unwrap();
    assert_eq!(recording.readings.len(), 150);
    assert!(recording.cut_short.is_some());
}

#[test]
fn a_packed_recording_that_ends_early_keeps_what_came() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.csv.gz");
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    packer.write_all(lines(20_000).as_bytes()).unwrap();
    let packed = packer.finish().unwrap();
    std::fs::write(&path, &packed).unwrap();
    assert_eq!(read_file(&path).unwrap().readings.len(), 20_000);
    std::fs::write(&path, &packed[..packed.len() / 2]).unwrap();
    let recording = read_file(&path).unwrap();
    assert!(
        recording.readings.len() > 5000,
        "{}",
        recording.readings.len()
    );
    assert!(matches!(recording.cut_short, Some(CutShort::Packed { .. })));
}

#[test]
fn what_is_wrong_is_told_with_its_place() {
    let check = |text: String, place: &str| {
        let error = told(text.as_bytes()).unwrap_err().to_string();
        assert!(error.contains(place), "{error} lacks {place}");
    };
    check(String::new(), "a.csv:1");
    check(
        "0,1,2,3\n".repeat(200),
        "a.csv:1: the first line names no columns",
    );
    check("t_us,ax,ay\n".to_owned(), "lacks az");
    check("t_us,ax,ay,az,gx\n".to_owned(), "lacks gy, gz");
    check("t_us;ax;ay;az\n".to_owned(), "lacks t_us, ax, ay, az");
    check("t_us,ax,ay,az,ax\n".to_owned(), "names `ax` twice");
    check(lines(5), "5 readings");
    let at = |from: &str, to: &str| lines(150).replace(from, to);
    check(at("\n700000,0.01,", "\n700000,"), "a.csv:72: 7 fields");
    check(
        at("\n700000,0.01,", "\n700000,o.o1,"),
        "a.csv:72: column ax: `o.o1`",
    );
    check(
        at("\n700000,0.01,", "\n700000,NaN,"),
        "a.csv:72: column ax: `NaN`",
    );
    check(at("\n700000,", "\n7e99,"), "a.csv:72: column t_us: `7e99`");
    check(
        at("\n700000,", "\n600000,"),
        "a.csv:72: column t_us: from 690000 back to 600000",
    );
    check(
        at("\n700000,0.01,-0.02,0.99,1,", "\n700000,0.01,-0.02,0.99,,"),
        "a.csv:72: column gx: ``",
    );
}

#[test]
fn a_file_that_is_not_there_and_a_folder_are_named() {
    let folder = tempfile::tempdir().unwrap();
    for path in [folder.path().join("none.csv"), folder.path().to_path_buf()] {
        let error = read_file(&path).unwrap_err().to_string();
        assert!(error.contains(&*path.to_string_lossy()), "{error}");
    }
}
