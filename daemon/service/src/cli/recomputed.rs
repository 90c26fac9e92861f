//! `hubplumb visits recompute`

use std::fmt::Write as _;
use std::process::ExitCode;

use super::solve::{json, print};
use super::{CliError, EXIT_FAILED};
use crate::store::Store;
use crate::visit::Unit;
use crate::visiting::recompute::{self, Again, Pair, Recomputed, Told};

pub(super) fn recompute(store: &Store, visit: i64, as_json: bool) -> Result<ExitCode, CliError> {
    let runs = recompute::recompute(store, visit)?;
    print(&if as_json {
        json(&runs)?
    } else {
        table(visit, &runs)
    })?;
    Ok(if runs.iter().all(Recomputed::agrees) {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(EXIT_FAILED)
    })
}

/// Then, now and the difference of every finding.
fn table(visit: i64, runs: &[Recomputed]) -> String {
    if runs.is_empty() {
        return format!("Nothing was measured in visit {visit}.\n");
    }
    let mut text = String::new();
    for run in runs {
        let _ = writeln!(
            text,
            "entry {}: {}, by version {}, now {}",
            run.number,
            run.procedure.words(),
            run.software,
            run.software_now
        );
        match &run.again {
            Again::Cannot(why) => {
                let _ = writeln!(text, "  cannot be computed again: {why}");
            }
            Again::Findings(pairs) => {
                let _ = writeln!(
                    text,
                    "  {:<48} {:>20} {:>20}  {:>10}",
                    "", "stored", "now", "difference"
                );
                for pair in pairs {
                    text.push_str(line(pair).trim_end());
                    text.push('\n');
                }
            }
        }
    }
    text.push_str(&verdict(runs));
    text
}

fn line(pair: &Pair) -> String {
    let unit = pair.quantity.unit();
    let figure =
        |told: Option<Told>| told.map_or_else(|| "-".to_owned(), |told| written(told, unit));
    let difference = pair
        .difference_sigmas
        .map_or_else(|| "-".to_owned(), |by| format!("{by:+.4} u"));
    format!(
        "  {:<33} {:<14} {:>20} {:>20}  {difference:>10}  {}",
        pair.quantity.words(),
        pair.place.words(),
        figure(pair.stored),
        figure(pair.now),
        if pair.agrees() {
            "same"
        } else {
            "NOT the same"
        }
    )
}

/// With the digits that a hundredth of a usual standard uncertainty needs.
fn written(told: Told, unit: Unit) -> String {
    let places = match unit {
        Unit::Deg => 4,
        Unit::Mm | Unit::Percent => 3,
        Unit::DegPerMm => 6,
    };
    format!(
        "{:+.places$} ± {:.places$}{}",
        told.value,
        told.standard,
        unit.sign()
    )
}

fn verdict(runs: &[Recomputed]) -> String {
    let pairs = || {
        runs.iter().flat_map(|run| match &run.again {
            Again::Findings(pairs) => pairs.as_slice(),
            Again::Cannot(_) => &[],
        })
    };
    let differ = pairs().filter(|pair| !pair.agrees()).count();
    let cannot = runs
        .iter()
        .filter(|run| matches!(run.again, Again::Cannot(_)))
        .count();
    let mut text = if differ == 0 && cannot == 0 {
        "Every finding is the same".to_owned()
    } else {
        format!(
            "{differ} of {} findings are not the same; {cannot} of {} runs cannot be computed again",
            pairs().count(),
            runs.len()
        )
    };
    let _ = writeln!(
        text,
        ", to {} standard uncertainties (u); ± is one.",
        recompute::AGREE_SIGMAS
    );
    text
}
