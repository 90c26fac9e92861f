//! `hubplumb visits` and `hubplumb sheet`

use std::fmt::Write as _;
use std::path::Path;
use std::process::ExitCode;

use super::CliError;
use super::alone::Alone;
use super::kept::{confirmed, deliver, text_of};
use super::recomputed;
use super::solve::{json, print};
use super::visit_args::{SheetArgs, VisitsArgs, VisitsCommand};
use crate::documents::Document;
use crate::http::visit_views::{VerdictWord, VisitLineView, VisitView};
use crate::present::{self, trouble};
use crate::sheet::{self, Angles, SheetOptions};
use crate::store::{Export, Store, StoreFault};
use crate::text;
use crate::visiting::now;

pub(super) fn sheet(args: &SheetArgs) -> Result<ExitCode, CliError> {
    let options = SheetOptions {
        angles: Angles::minutes(args.minutes),
        paper: args.paper,
        language: args.language,
        made_at: now(),
    };
    let html = sheet::of(&args.place.look()?, args.visit, &options)?;
    deliver(&html, args.out.as_deref())?;
    Ok(ExitCode::SUCCESS)
}

pub(super) fn visits(args: &VisitsArgs) -> Result<ExitCode, CliError> {
    let place = &args.place;
    match &args.what {
        VisitsCommand::List { car, json: as_json } => {
            let lines = present::visit_lines(&place.look()?, *car)?;
            print(&if *as_json {
                json(&lines)?
            } else {
                listed(&lines)
            })?;
        }
        VisitsCommand::Show { id, json: as_json } => {
            let visit = present::visit_of(&place.look()?, *id)?;
            print(&if *as_json {
                json(&visit)?
            } else {
                shown(&visit)
            })?;
        }
        VisitsCommand::Recompute { id, json } => {
            return recomputed::recompute(&place.look()?, *id, *json);
        }
        VisitsCommand::Export { ids, csv, out } => {
            let export = place.look()?.export(ids)?;
            let text = if *csv {
                table(&export)?
            } else {
                json(&export)?
            };
            deliver(&text, out.as_deref())?;
        }
        VisitsCommand::Import { file } => {
            let text = text_of(file)?;
            let document = &mut serde_json::Deserializer::from_str(&text);
            let export: Export = serde_path_to_error::deserialize(document).map_err(|why| {
                CliError::Input(trouble(
                    "no_such_document",
                    format!("{}, at {}: {}", file.display(), why.path(), why.inner()),
                    "no visit was brought in",
                    "name a file that `hubplumb visits export` wrote; docs/visits.schema.json describes it",
                ))
            })?;
            let store = place.open()?;
            for id in store.import(&export, &now())? {
                let visit = present::visit_of(&store, id)?;
                print(&format!(
                    "visit {id}: {}, {}\n",
                    visit.car.name, visit.began_at
                ))?;
            }
        }
        VisitsCommand::Delete { id, yes } => {
            let store = place.look()?;
            let visit = present::visit_of(&store, *id)?;
            let what = format!("visit {id} of {}, begun {}", visit.car.name, visit.began_at);
            confirmed(&format!("{what}, with its recordings"), *yes)?;
            store.remove_visit(*id)?;
            print(&format!("{what}, is deleted\n"))?;
        }
        VisitsCommand::Backup { file } => {
            place.look()?.back_up(file)?;
            print(&format!("written to {}\n", file.display()))?;
        }
        VisitsCommand::Restore { file } => {
            let kept = place.file()?;
            let _alone = Alone::in_folder(kept.parent())?;
            let moved = Store::restore(&kept, file)?;
            print(&format!(
                "{} is kept at {} now\n{}",
                file.display(),
                kept.display(),
                put_away(moved.as_deref())
            ))?;
        }
        VisitsCommand::SetAside => {
            let kept = place.file()?;
            let _alone = Alone::in_folder(kept.parent())?;
            let moved = Store::set_aside(&kept)?;
            print(&put_away(moved.as_deref()))?;
        }
        VisitsCommand::Schema => print(&Document::Visits.kept().map_err(CliError::Kept)?)?,
    }
    Ok(ExitCode::SUCCESS)
}

fn put_away(moved: Option<&Path>) -> String {
    moved.map_or_else(
        || "nothing was kept there before\n".to_owned(),
        |moved| format!("what was kept there before is {} now\n", moved.display()),
    )
}

fn table(export: &Export) -> Result<String, CliError> {
    export.table().map_err(|why| {
        CliError::Store(StoreFault::NotUnderstood {
            what: text!("The export"),
            why: why.to_string().into(),
        })
    })
}

fn listed(lines: &[VisitLineView]) -> String {
    if lines.is_empty() {
        return "No visit is kept here.\n".to_owned();
    }
    let mut text = String::new();
    for line in lines {
        let _ = writeln!(
            text,
            "{:>4}  {}  {:<10}  {}{}",
            line.id,
            line.began_at,
            line.stage.words(),
            line.car,
            if line.at_hand { "  (at hand)" } else { "" }
        );
    }
    text
}

fn shown(visit: &VisitView) -> String {
    let mut text = format!(
        "visit {} of {}, begun {}, {}\n",
        visit.id,
        visit.car.name,
        visit.began_at,
        visit.stage.words()
    );
    if visit.findings.is_empty() {
        text.push_str("Nothing was measured.\n");
    }
    for finding in &visit.findings {
        let verdict = finding
            .verdict
            .as_ref()
            .map_or("", |verdict| match verdict.verdict {
                VerdictWord::Inside => "inside",
                VerdictWord::Outside => "outside",
                VerdictWord::Undecided => "undecided",
            });
        let places = if finding.unit == crate::visit::Unit::DegPerMm {
            4
        } else {
            2
        };
        let line = format!(
            "  {:<10} {:<32} {:<12} {:>+8.places$} ± {:.places$}{:<5} {:<13} {verdict}",
            finding.stage.words(),
            finding.name,
            finding.place_words,
            finding.value,
            finding.expanded,
            finding.unit.sign(),
            finding.sense,
        );
        text.push_str(line.trim_end());
        text.push('\n');
    }
    for moved in &visit.moves {
        let _ = writeln!(
            text,
            "  moved      {}, {}: {}",
            moved.adjuster,
            moved.corner.words(),
            moved.say
        );
    }
    for note in &visit.notes {
        let _ = writeln!(text, "  note       {}", note.text);
    }
    text
}
