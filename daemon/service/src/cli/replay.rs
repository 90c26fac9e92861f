//! `hubplumb replay`

use crate::text::Text;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs::File;
use std::io::{self, BufWriter, Write as _};
use std::path::Path;
use std::process::ExitCode;

use super::args::ReplayArgs;
use super::solve::print;
use super::{CliError, EXIT_FAILED};
use crate::http::views::{AngleView, TroubleView};
use crate::journal::{Entry, JournalError, Recorded, Replay, read};
use crate::mount::Mount;
use crate::present;
use crate::swing::Found;

pub(super) fn replay(args: &ReplayArgs) -> Result<ExitCode, CliError> {
    let unreadable = |error: JournalError| CliError::Input(trouble(&error));
    let recorded = read(&args.journal).map_err(unreadable)?;
    if let Some(folder) = &args.tables {
        tables(&recorded, folder).map_err(|error| {
            CliError::Input(TroubleView {
                code: "tables".to_owned(),
                what: Text::from(format!("{}: {error}", folder.display())),
                meaning: Text::from("the tables are not all there"),
                remedy: Text::from("name a folder that may be written"),
            })
        })?;
    }
    let replay = Replay::of(&recorded).map_err(unreadable)?;
    print(&told(&recorded, &replay))?;
    let same = recorded.missing == 0 && replay.ended.iter().all(crate::journal::Ended::agrees);
    Ok(if same {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(EXIT_FAILED)
    })
}

fn told(recorded: &Recorded, replay: &Replay) -> String {
    let mut text = format!("{} readings played.\n", replay.readings);
    if !recorded.from_beginning {
        text.push_str("The beginning was given up when the journal was full: clocks and filters begin elsewhere, and findings may differ in their last digits.\n");
    }
    if recorded.missing > 0 {
        let _ = writeln!(
            text,
            "The disk was too slow for {} notes: what they said is not played.",
            recorded.missing
        );
    }
    if recorded.cut_off {
        text.push_str("It ends in the middle of a line, as when the daemon was killed.\n");
    }
    if replay.unusable > 0 {
        let _ = writeln!(text, "{} notes fit no board.", replay.unusable);
    }
    if replay.ended.is_empty() {
        text.push_str("No swing went through in it.\n");
    }
    for ended in &replay.ended {
        let verdict = match (&ended.then, &ended.now) {
            (Some(then), Some(now)) if then == now => "the same findings, to the last bit",
            (Some(_), Some(_)) => "OTHER FINDINGS than it had then",
            (Some(_), None) => "IT DOES NOT END, and it did then",
            (None, _) => "what it found then is not written down",
        };
        let _ = writeln!(text, "\nSwing {}: {verdict}", ended.run);
        let of_run = |found: &&Found| found.run == ended.run;
        for found in replay.swing.found.iter().filter(of_run) {
            for finding in present::finding_views(found) {
                let _ = writeln!(
                    text,
                    "  {:<12} {:<15} {:>+8.3}° ± {:.3}°  {}",
                    Mount::steered(found.wheel.side).words(),
                    words(finding.angle),
                    finding.value_deg,
                    finding.expanded_deg,
                    finding.sense
                );
            }
        }
    }
    text
}

const fn words(angle: AngleView) -> &'static str {
    match angle {
        AngleView::Camber => "camber",
        AngleView::Caster => "caster",
        AngleView::Sai => "SAI",
        AngleView::IncludedAngle => "included angle",
    }
}

/// Writes one table per board: when it arrived, and what it said.
fn tables(recorded: &Recorded, folder: &Path) -> io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let mut files: BTreeMap<usize, BufWriter<File>> = BTreeMap::new();
    for entry in &recorded.entries {
        let Entry::Heard {
            board,
            at_us,
            readings,
            ..
        } = entry
        else {
            continue;
        };
        if !files.contains_key(board) {
            let mut file = BufWriter::new(File::create(folder.join(format!("board-{board}.csv")))?);
            writeln!(
                file,
                "arrived_us,t_us,seq,ax_g,ay_g,az_g,gx_radps,gy_radps,gz_radps,roll_rad,pitch_rad,yaw_rad,temp_c"
            )?;
            files.insert(*board, file);
        }
        let Some(file) = files.get_mut(board) else {
            continue;
        };
        for reading in readings {
            let one =
                |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
            let three = |value: Option<[f64; 3]>| {
                let parts = value.map_or([None; 3], |value| value.map(Some));
                parts.map(one).join(",")
            };
            writeln!(
                file,
                "{at_us},{},{},{},{},{},{}",
                one(reading.device_time_us),
                reading
                    .sequence
                    .map_or_else(String::new, |number| number.to_string()),
                three(reading.accel_g),
                three(reading.rate_radps),
                three(reading.attitude_rad),
                one(reading.temperature_c)
            )?;
        }
    }
    files.into_values().try_for_each(|mut file| file.flush())
}

fn trouble(error: &JournalError) -> TroubleView {
    let remedy = match error {
        JournalError::Nothing { .. } | JournalError::Unreadable { .. } => {
            "name the folder that one `hubplumb run --journal FOLDER` made below FOLDER"
        }
        JournalError::NotUnderstood { .. } => {
            "take the broken file and those before it away; what follows can still be played"
        }
        JournalError::Torn { .. } => "bring the missing file back, or take those before it away",
        JournalError::OtherFormat { .. } | JournalError::Configuration(_) => {
            "play it with the version that wrote it"
        }
    };
    TroubleView {
        code: "journal".to_owned(),
        what: Text::from(error.to_string()),
        meaning: Text::from("nothing was played"),
        remedy: Text::from(remedy),
    }
}
