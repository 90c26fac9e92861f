//! docs/CHIPS.md shows the figures that the program goes by, and where they are from.

use hubplumb_core::chip::Chip;
use hubplumb_core::chip::data_sheet::{DataSheet, Figure, Given};

const PAGE: &str = include_str!("../../../../docs/CHIPS.md");

/// Three significant digits, as a person writes them.
fn short(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let mut digits = 0;
    let mut shifted = value.abs();
    while shifted < 99.95 && digits < 9 {
        shifted *= 10.0;
        digits += 1;
    }
    let written = format!("{value:.digits$}");
    if written.contains('.') {
        written
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned()
    } else {
        written
    }
}

fn printed(figure: Option<Figure>) -> String {
    let Some(figure) = figure else {
        return "–".to_owned();
    };
    let value = short(figure.value);
    match figure.given {
        Given::Typical => value,
        Given::Limit => format!("≤ {value}"),
        Given::TypicalAndLimit { limit } => format!("{value}, ≤ {}", short(limit)),
        Given::LimitOver { degrees_c } => format!("≤ {value} in {} °C", short(degrees_c)),
    }
}

fn sheet_rows(sheet: &DataSheet) -> [String; 2] {
    let (accel, gyro) = (&sheet.accel, sheet.gyro.as_ref());
    let row = |part: &str, columns: [String; 6]| {
        format!(
            "| `{}` | {} | {part} | {} |",
            sheet.name,
            sheet.printed,
            columns.join(" | ")
        )
    };
    [
        row(
            "accelerometer",
            [
                printed(accel.noise_ug_rthz),
                printed(Some(accel.offset_mg)),
                printed(accel.tempco_mg_per_c),
                printed(accel.scale_percent),
                printed(accel.nonlinearity_percent_fs),
                printed(accel.cross_percent),
            ],
        ),
        gyro.map_or_else(String::new, |gyro| {
            row(
                "gyro",
                [
                    printed(gyro.noise_dps_rthz),
                    "–".to_owned(),
                    printed(gyro.tempco_dps_per_c),
                    printed(gyro.scale_percent),
                    "–".to_owned(),
                    printed(gyro.cross_percent),
                ],
            )
        }),
    ]
}

fn sources(sheet: &DataSheet) -> String {
    let accel = &sheet.accel;
    let mut sources: Vec<(&str, Vec<&str>)> = Vec::new();
    let mut add = |what: &'static str, figure: Option<Figure>| {
        let Some(figure) = figure else { return };
        match sources
            .iter_mut()
            .find(|(source, _)| *source == figure.source)
        {
            Some((_, whats)) => whats.push(what),
            None => sources.push((figure.source, vec![what])),
        }
    };
    add("noise", accel.noise_ug_rthz);
    add("offset", Some(accel.offset_mg));
    add("heat", accel.tempco_mg_per_c);
    add("scale", accel.scale_percent);
    add("scale by heat", accel.scale_tempco_percent_per_c);
    add("nonlinearity", accel.nonlinearity_percent_fs);
    add("cross-axis", accel.cross_percent);
    if let Some(gyro) = &sheet.gyro {
        add("gyro noise", gyro.noise_dps_rthz);
        add("gyro heat", gyro.tempco_dps_per_c);
        add("gyro scale", gyro.scale_percent);
        add("gyro scale by heat", gyro.scale_tempco_percent_per_c);
        add("gyro cross-axis", gyro.cross_percent);
    }
    let told: Vec<_> = sources
        .iter()
        .map(|(source, whats)| format!("{source} ({})", whats.join(", ")))
        .collect();
    format!("| `{}` | {} |", sheet.name, told.join("; "))
}

fn result_row(sheet: &DataSheet) -> String {
    let (raw, done) = (sheet.raw(), sheet.calibrated());
    let tilt = |offset_g: f64| format!("{:.2}°", offset_g.asin().to_degrees());
    let dps = |radps: f64| short(radps.to_degrees());
    let gyro = |value: String| {
        if sheet.gyro.is_some() {
            value
        } else {
            "–".to_owned()
        }
    };
    format!(
        "| `{}` | {} | {} mg, {} | {} mg, {} | {} | {} | {} mg | {} |",
        sheet.name,
        sheet.grade.name(),
        short(raw.accel_offset_g * 1e3),
        tilt(raw.accel_offset_g),
        short(done.accel_offset_g * 1e3),
        tilt(done.accel_offset_g),
        short(done.accel_scale * 1e6),
        short(raw.accel_tempco_g_per_c * 1e3),
        short(raw.accel_ageing_g_rtyear * 1e3),
        gyro(dps(raw.gyro_drift_radps)),
    )
}

/// Is every line there, in the order of the chips?
fn check(what: &str, lines: Vec<String>) {
    let wanted: String = lines
        .into_iter()
        .filter(|line| !line.is_empty())
        .map(|line| line + "\n")
        .collect();
    assert!(
        PAGE.contains(&wanted),
        "the table of {what} in docs/CHIPS.md is another; it should read\n{wanted}"
    );
}

#[test]
fn the_sheets_are_shown() {
    check("sheets", Chip::products().flat_map(sheet_rows).collect());
}

#[test]
fn every_figure_has_its_source() {
    check("sources", Chip::products().map(sources).collect());
}

#[test]
fn what_they_come_to_is_shown() {
    check("results", Chip::products().map(result_row).collect());
}
