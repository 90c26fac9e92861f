//! Findings of a visit computed again from what was kept with them.
//!
//! A visit keeps what every run saw: recordings of a swing, figures that were
//! entered, the evidence of a guided check. So this version of the program can
//! tell what it would have found, whichever version found it.

mod swing;

use hubplumb_core::check::{Evidence, Kind, solve};
use serde::Serialize;

use crate::car::CarRecord;
use crate::checking::{CheckFound, kept};
use crate::http::visit_views::EnteredFigures;
use crate::mount::Mount;
use crate::present;
use crate::store::{Store, StoreFault};
use crate::text;
use crate::visit::{FindingRecord, Noted, Place, Procedure, Quantity, Run, Stage, Visit};

/// Findings that differ by no more agree, in standard uncertainties: far below what
/// anybody could measure.
pub const AGREE_SIGMAS: f64 = 0.01;

/// A run and what became of computing it again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Recomputed {
    /// Number of the run's entry.
    pub number: u32,
    /// Which procedure.
    pub procedure: Procedure,
    /// Version that made it.
    pub software: String,
    /// Version that computed it again.
    pub software_now: String,
    /// What came out.
    #[serde(flatten)]
    pub again: Again,
}

/// What came out.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Again {
    /// Findings then and now.
    Findings(Vec<Pair>),
    /// It cannot be computed again, and why.
    Cannot(String),
}

/// A finding then and now.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pair {
    /// Of what.
    pub quantity: Quantity,
    /// Where.
    pub place: Place,
    /// As it was stored; none where it is found only now.
    pub stored: Option<Told>,
    /// As it is found now; none where it is not found any more.
    pub now: Option<Told>,
    /// The value now less that stored, in stored standard uncertainties; none where
    /// one is missing, or where they differ and nothing was uncertain.
    pub difference_sigmas: Option<f64>,
    /// How much larger the standard uncertainty is now, as a part of that stored; none as above.
    pub standard_change: Option<f64>,
}

/// A value and its standard uncertainty, in the quantity's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Told {
    /// Value.
    pub value: f64,
    /// Standard uncertainty.
    pub standard: f64,
}

impl Told {
    const fn of(finding: &FindingRecord) -> Self {
        Self {
            value: finding.value,
            standard: finding.standard,
        }
    }
}

impl Pair {
    fn of(quantity: Quantity, place: Place, stored: Option<Told>, now: Option<Told>) -> Self {
        let both = stored.zip(now);
        let in_standards = |difference: f64, standard: f64| {
            let quotient = if difference == 0.0 {
                0.0
            } else {
                difference / standard
            };
            quotient.is_finite().then_some(quotient)
        };
        Self {
            quantity,
            place,
            stored,
            now,
            difference_sigmas: both
                .and_then(|(then, now)| in_standards(now.value - then.value, then.standard)),
            standard_change: both
                .and_then(|(then, now)| in_standards(now.standard - then.standard, then.standard)),
        }
    }

    /// Are value and standard uncertainty the same, to [`AGREE_SIGMAS`]?
    pub fn agrees(&self) -> bool {
        let small = |figure: Option<f64>| figure.is_some_and(|by| by.abs() <= AGREE_SIGMAS);
        small(self.difference_sigmas) && small(self.standard_change)
    }
}

impl Recomputed {
    /// Was everything found again?
    pub fn agrees(&self) -> bool {
        match &self.again {
            Again::Findings(pairs) => pairs.iter().all(Pair::agrees),
            Again::Cannot(_) => false,
        }
    }
}

/// Computes every run of a visit that holds again.
pub fn recompute(store: &Store, visit: i64) -> Result<Vec<Recomputed>, StoreFault> {
    let entries = store.entries(visit)?;
    let Some(standing) = Visit::of(&entries) else {
        return Err(StoreFault::NotUnderstood {
            what: text!("Visit {id}", id = visit),
            why: text!("it does not begin with its car"),
        });
    };
    standing
        .runs
        .iter()
        .map(|run| again(store, visit, run, standing.car))
        .collect()
}

fn again(
    store: &Store,
    visit: i64,
    run: &Noted<&Run>,
    car: &CarRecord,
) -> Result<Recomputed, StoreFault> {
    let found = match run.what.procedure {
        Procedure::Swing => swing::findings(&store.recordings(visit, run.number)?, car),
        Procedure::CamberOnHub
        | Procedure::CamberOnBar
        | Procedure::Play
        | Procedure::Locks
        | Procedure::Turns
        | Procedure::Heights
        | Procedure::ToeCarried => of_check(run.what, car),
        Procedure::ToeStrings
        | Procedure::ToeGap
        | Procedure::ToeSpot
        | Procedure::ToeSlip
        | Procedure::Setback
        | Procedure::Offsets => of_figures(run.what, car),
    };
    Ok(Recomputed {
        number: run.number,
        procedure: run.what.procedure,
        software: run.what.software.clone(),
        software_now: env!("CARGO_PKG_VERSION").to_owned(),
        again: match found {
            Ok(now) => Again::Findings(pairs(&run.what.findings, &now)),
            Err(why) => Again::Cannot(why),
        },
    })
}

fn of_figures(run: &Run, car: &CarRecord) -> Result<Vec<FindingRecord>, String> {
    let figures: EnteredFigures = serde_path_to_error::deserialize(&run.evidence)
        .map_err(|why| format!("the figures, at {}: {}", why.path(), why.inner()))?;
    match present::entered_run(&figures, car, run.stage) {
        Ok(run) => Ok(run.findings),
        Err(problem) => Err(problem.detail().to_owned().to_string()),
    }
}

fn of_check(run: &Run, car: &CarRecord) -> Result<Vec<FindingRecord>, String> {
    let evidence = kept::from_json(&run.evidence).map_err(|why| why.to_string())?;
    let result = solve(&evidence).map_err(|refusal| refusal.to_string())?;
    let found = CheckFound {
        run: 0,
        kind: kind(&evidence),
        mount: mount(run),
        at_us: 0,
        evidence,
        result,
    };
    // Checks that find nothing to keep are not stored: if nothing is left, it is told pair by pair.
    let run = present::check_run(&found, car, Stage::Before, Vec::new());
    Ok(run.map_or_else(Vec::new, |run| run.findings))
}

const fn kind(evidence: &Evidence) -> Kind {
    match evidence {
        Evidence::CamberOnHub(_) => Kind::CamberOnHub,
        Evidence::CamberOnBar(_) => Kind::CamberOnBar,
        Evidence::Play(_) => Kind::Play,
        Evidence::Centring(_) => Kind::Centring,
        Evidence::TurnOut(_) => Kind::TurnOut,
        Evidence::Heights(_) => Kind::Heights,
        Evidence::CarriedToe(_) => Kind::CarriedToe,
    }
}

/// The wheel of a check, by where its findings are: the evidence knows the side alone.
fn mount(run: &Run) -> Option<Mount> {
    Some(match run.findings.first()?.place {
        Place::FrontLeft => Mount::FrontLeft,
        Place::FrontRight => Mount::FrontRight,
        Place::RearLeft => Mount::RearLeft,
        Place::RearRight => Mount::RearRight,
        Place::Front | Place::Rear | Place::Car | Place::LeftTurn | Place::RightTurn => {
            return None;
        }
    })
}

/// Then and now by quantity and place: what was stored in its order, then what is new.
fn pairs(stored: &[FindingRecord], now: &[FindingRecord]) -> Vec<Pair> {
    let mut left: Vec<&FindingRecord> = now.iter().collect();
    let mut pairs: Vec<Pair> = stored
        .iter()
        .map(|then| {
            let index = left
                .iter()
                .position(|now| now.quantity == then.quantity && now.place == then.place);
            let now = index.map(|index| Told::of(left.remove(index)));
            Pair::of(then.quantity, then.place, Some(Told::of(then)), now)
        })
        .collect();
    pairs.extend(
        left.into_iter()
            .map(|now| Pair::of(now.quantity, now.place, None, Some(Told::of(now)))),
    );
    pairs
}

#[cfg(test)]
mod tests;
