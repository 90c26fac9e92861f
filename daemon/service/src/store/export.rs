//! Visits in and out of the store as one JSON document, and findings as a table.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{NewEntry, Recording, Store, StoreFault};
use crate::text;
use crate::visit::{Entry, Noted, Visit};

/// Version of the document; raised when an older program could misread it.
const DOCUMENT: u32 = 1;

/// Everything of some visits, in one document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Export {
    /// Version of this document's layout: 1.
    pub hubplumb_visits: u32,
    /// The visits.
    pub visits: Vec<ExportedVisit>,
}

/// One visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExportedVisit {
    /// The same in every store that the visit was brought into.
    pub mark: String,
    /// When it began, RFC 3339.
    pub began_at: String,
    /// Its entries, in order.
    pub entries: Vec<ExportedEntry>,
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExportedEntry {
    /// Number, from 1.
    pub number: u32,
    /// When, RFC 3339.
    pub at: String,
    /// What.
    pub what: Entry,
    /// Files that belong to it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub recordings: Vec<ExportedRecording>,
}

/// A file that a procedure left: tables and session files, all of them text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExportedRecording {
    /// Its name.
    pub name: String,
    /// Its text.
    pub text: String,
}

impl Store {
    /// Some visits as one document.
    pub fn export(&self, visits: &[i64]) -> Result<Export, StoreFault> {
        let visits = visits
            .iter()
            .map(|id| self.export_one(*id))
            .collect::<Result<_, _>>()?;
        Ok(Export {
            hubplumb_visits: DOCUMENT,
            visits,
        })
    }

    fn export_one(&self, id: i64) -> Result<ExportedVisit, StoreFault> {
        let row = self.visit(id)?;
        let entries = self
            .entries(id)?
            .into_iter()
            .map(|noted| {
                let recordings = self
                    .recordings(id, noted.number)?
                    .into_iter()
                    .map(|recording| {
                        let text = String::from_utf8(recording.content).map_err(|why| {
                            StoreFault::NotUnderstood {
                                what: text!("Recording {name}", name = &recording.name),
                                why: why.to_string().into(),
                            }
                        })?;
                        Ok(ExportedRecording {
                            name: recording.name,
                            text,
                        })
                    })
                    .collect::<Result<_, StoreFault>>()?;
                Ok(ExportedEntry {
                    number: noted.number,
                    at: noted.at,
                    what: noted.what,
                    recordings,
                })
            })
            .collect::<Result<_, StoreFault>>()?;
        Ok(ExportedVisit {
            mark: row.mark,
            began_at: row.began_at,
            entries,
        })
    }

    /// Brings the visits of a document in, all of them or none, and gives their numbers.
    /// A car that is not kept here by that name is added.
    pub fn import(&self, export: &Export, at: &str) -> Result<Vec<i64>, StoreFault> {
        if export.hubplumb_visits != DOCUMENT {
            return Err(StoreFault::NotUnderstood {
                what: text!("The document"),
                why: text!(
                    "its layout is version {version}",
                    version = export.hubplumb_visits
                ),
            });
        }
        let known = self.cars()?;
        self.write(|transaction| {
            let mut cars: Vec<(String, i64)> = known
                .into_iter()
                .map(|car| (car.record.name, car.id))
                .collect();
            let mut ids = Vec::new();
            for visit in &export.visits {
                let there = transaction
                    .query_row(
                        "SELECT id FROM visit WHERE mark = ?1",
                        [&visit.mark],
                        |row| row.get(0),
                    )
                    .map(Some)
                    .or_else(|why| match why {
                        rusqlite::Error::QueryReturnedNoRows => Ok(None),
                        other => Err(self.fault(&other)),
                    })?;
                if let Some(id) = there {
                    return Err(StoreFault::Known { id });
                }
                let entries: Vec<Noted<Entry>> = visit.entries.iter().map(noted).collect();
                let Some(car) = Visit::of(&entries).map(|visit| visit.car) else {
                    return Err(StoreFault::NotUnderstood {
                        what: text!("Visit {id}", id = &visit.mark),
                        why: text!("it does not begin with an opening"),
                    });
                };
                let known = cars.iter().find(|(name, _)| *name == car.name);
                let car_id = if let Some((_, id)) = known {
                    *id
                } else {
                    let text = serde_json::to_string(car)
                        .map_err(|why| StoreFault::text(text!("The car"), &why))?;
                    transaction
                        .execute(
                            "INSERT INTO car (changed_at, record) VALUES (?1, ?2)",
                            [at, &text],
                        )
                        .map_err(|why| self.fault(&why))?;
                    let id = transaction.last_insert_rowid();
                    cars.push((car.name.clone(), id));
                    id
                };
                transaction
                    .execute(
                        "INSERT INTO visit (mark, car, began_at) VALUES (?1, ?2, ?3)",
                        (&visit.mark, car_id, &visit.began_at),
                    )
                    .map_err(|why| self.fault(&why))?;
                let id = transaction.last_insert_rowid();
                for (index, entry) in visit.entries.iter().enumerate() {
                    if entry.number as usize != index + 1 {
                        return Err(StoreFault::NotUnderstood {
                            what: text!("Visit {id}", id = &visit.mark),
                            why: text!(
                                "entry {number} stands in place {place}",
                                number = entry.number,
                                place = index + 1
                            ),
                        });
                    }
                    self.insert(transaction, id, entry.number, &brought(entry))?;
                }
                ids.push(id);
            }
            Ok(ids)
        })
    }
}

fn noted(entry: &ExportedEntry) -> Noted<Entry> {
    Noted {
        number: entry.number,
        at: entry.at.clone(),
        what: entry.what.clone(),
    }
}

fn brought(entry: &ExportedEntry) -> NewEntry {
    NewEntry {
        ask: None,
        at: entry.at.clone(),
        what: entry.what.clone(),
        recordings: entry
            .recordings
            .iter()
            .map(|recording| Recording {
                name: recording.name.clone(),
                content: recording.text.clone().into_bytes(),
            })
            .collect(),
    }
}

impl Export {
    /// Every finding as a row of a table (RFC 4180).
    pub fn table(&self) -> Result<String, csv::Error> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record([
            "visit",
            "car",
            "entry",
            "at",
            "stage",
            "procedure",
            "quantity",
            "place",
            "value",
            "unit",
            "standard",
            "holds",
            "caveat",
        ])?;
        for exported in &self.visits {
            let entries: Vec<Noted<Entry>> = exported.entries.iter().map(noted).collect();
            let Some(visit) = Visit::of(&entries) else {
                continue;
            };
            let kept = visit.runs.iter().map(|run| (run, "yes"));
            let gone = visit.taken_back.iter().map(|run| (run, "taken back"));
            for (run, holds) in kept.chain(gone) {
                for finding in &run.what.findings {
                    let unit = finding.quantity.unit();
                    writer.write_record([
                        exported.mark.as_str(),
                        &visit.car.name,
                        &run.number.to_string(),
                        &run.at,
                        &name(&run.what.stage),
                        &name(&run.what.procedure),
                        &name(&finding.quantity),
                        &name(&finding.place),
                        &number(finding.value),
                        &name(&unit),
                        &number(finding.standard),
                        holds,
                        &finding.caveat,
                    ])?;
                }
            }
        }
        let bytes = writer
            .into_inner()
            .map_err(|why| csv::Error::from(why.into_error()))?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }
}

fn number(value: f64) -> String {
    let mut text = String::new();
    let _ = write!(text, "{value}");
    text
}

/// The name that a thing has in JSON.
fn name<T: Serialize>(thing: &T) -> String {
    serde_json::to_value(thing)
        .ok()
        .and_then(|value| value.as_str().map(str::to_owned))
        .unwrap_or_default()
}
