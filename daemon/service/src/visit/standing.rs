//! The visit as it stands, from its entries.

use std::collections::BTreeMap;

use super::{Conditions, Entry, FindingRecord, Move, Place, Point, Quantity, Run, Stage};
use crate::car::CarRecord;

/// An entry with its number and the day and time it was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Noted<T> {
    /// Number within the visit, from 1.
    pub number: u32,
    /// When, as RFC 3339 in UTC.
    pub at: String,
    /// What.
    pub what: T,
}

/// A finding that stands: the last of its kind at its place in its stage.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// The run it came from.
    pub run: &'a Noted<&'a Run>,
    /// Its place among that run's findings.
    pub index: usize,
    /// The finding.
    pub finding: &'a FindingRecord,
}

/// A visit as it stands.
#[derive(Debug, Clone)]
pub struct Visit<'a> {
    /// The car as it was known at the beginning.
    pub car: &'a CarRecord,
    /// Version of the daemon that began it.
    pub software: &'a str,
    /// The part at hand.
    pub stage: Stage,
    /// Points of the preparation that were seen to, with what was noticed.
    pub prepared: BTreeMap<Point, Noted<&'a str>>,
    /// The state of the car, as last entered.
    pub conditions: Option<Noted<&'a Conditions>>,
    /// Runs that hold, in the order they were made.
    pub runs: Vec<Noted<&'a Run>>,
    /// Runs that were taken back.
    pub taken_back: Vec<Noted<&'a Run>>,
    /// Why entries were taken back, by their number.
    pub why_taken_back: BTreeMap<u32, &'a str>,
    /// Adjusters that were moved, in order.
    pub moves: Vec<Noted<&'a Move>>,
    /// Notes.
    pub notes: Vec<Noted<&'a str>>,
}

impl<'a> Visit<'a> {
    /// The visit of its entries; none where they do not begin with an opening.
    pub fn of(entries: &'a [Noted<Entry>]) -> Option<Self> {
        let Entry::Opened { car, software } = &entries.first()?.what else {
            return None;
        };
        let why_taken_back: BTreeMap<u32, &str> = entries
            .iter()
            .filter_map(|noted| match &noted.what {
                Entry::TakenBack { number, why } => Some((*number, why.as_str())),
                _ => None,
            })
            .collect();
        let mut visit = Self {
            car,
            software,
            stage: Stage::Preparing,
            prepared: BTreeMap::new(),
            conditions: None,
            runs: Vec::new(),
            taken_back: Vec::new(),
            why_taken_back,
            moves: Vec::new(),
            notes: Vec::new(),
        };
        for noted in entries {
            let gone = visit.why_taken_back.contains_key(&noted.number);
            visit.add(noted, gone);
        }
        Some(visit)
    }

    fn add(&mut self, noted: &'a Noted<Entry>, gone: bool) {
        let place = |number: u32, at: &str| (number, at.to_owned());
        let (number, at) = place(noted.number, &noted.at);
        match &noted.what {
            Entry::Run(run) if gone => self.taken_back.push(Noted {
                number,
                at,
                what: run,
            }),
            _ if gone => {}
            Entry::Opened { .. } | Entry::TakenBack { .. } => {}
            Entry::Prepared { point, done, note } => {
                if *done {
                    let what = note.as_str();
                    self.prepared.insert(*point, Noted { number, at, what });
                } else {
                    self.prepared.remove(point);
                }
            }
            Entry::Conditions(what) => self.conditions = Some(Noted { number, at, what }),
            Entry::Stage { stage } => self.stage = *stage,
            Entry::Run(run) => self.runs.push(Noted {
                number,
                at,
                what: run,
            }),
            Entry::Moved(what) => self.moves.push(Noted { number, at, what }),
            Entry::Note { text } => self.notes.push(Noted {
                number,
                at,
                what: text,
            }),
        }
    }

    /// The finding that stands in a stage; while adjusting, what was not measured anew is that of before.
    pub fn standing(&self, stage: Stage, quantity: Quantity, place: Place) -> Option<Standing<'_>> {
        self.runs
            .iter()
            .rev()
            .filter(|run| run.what.stage == stage)
            .find_map(|run| {
                run.what
                    .findings
                    .iter()
                    .enumerate()
                    .rfind(|(_, finding)| finding.quantity == quantity && finding.place == place)
                    .map(|(index, finding)| Standing {
                        run,
                        index,
                        finding,
                    })
            })
    }

    /// The newest finding of any stage.
    pub fn newest(&self, quantity: Quantity, place: Place) -> Option<Standing<'_>> {
        self.runs.iter().rev().find_map(|run| {
            run.what
                .findings
                .iter()
                .enumerate()
                .rfind(|(_, finding)| finding.quantity == quantity && finding.place == place)
                .map(|(index, finding)| Standing {
                    run,
                    index,
                    finding,
                })
        })
    }

    /// All findings that stand in a stage, in the order of a sheet.
    pub fn all_standing(&self, stage: Stage) -> Vec<Standing<'_>> {
        Quantity::ALL
            .iter()
            .flat_map(|quantity| {
                Place::ALL
                    .iter()
                    .filter_map(|place| self.standing(stage, *quantity, *place))
            })
            .collect()
    }
}

impl Standing<'_> {
    /// Covariance with another finding; nothing where they come from different runs
    /// or the run keeps none.
    pub fn covariance(&self, other: &Self) -> f64 {
        if self.run.number != other.run.number {
            return 0.0;
        }
        self.run
            .what
            .covariance
            .get(self.index)
            .and_then(|row| row.get(other.index))
            .copied()
            .unwrap_or(0.0)
    }
}
