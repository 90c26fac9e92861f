//! Visits and their entries.

use std::io::{Read as _, Write as _};

use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;
use rusqlite::{OptionalExtension, Row, Transaction, TransactionBehavior};

use super::{Store, StoreFault};
use crate::text;
use crate::visit::{Entry, Noted, Stage, Visit};

/// Largest recording that is read back, bytes: an hour of a board at 1 kHz is below 400 MB.
const MOST_RECORDING_BYTES: u64 = 1 << 30;

/// A visit that is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitRow {
    /// Its number.
    pub id: i64,
    /// The same in every store that it was brought into.
    pub mark: String,
    /// Its car, while that is kept.
    pub car: Option<i64>,
    /// When it began, RFC 3339.
    pub began_at: String,
}

/// A file that a procedure left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recording {
    /// Its name.
    pub name: String,
    /// Its content.
    pub content: Vec<u8>,
}

/// An entry to be added.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEntry {
    /// A name of whoever adds it: adding the same again adds nothing.
    pub ask: Option<String>,
    /// When, RFC 3339.
    pub at: String,
    /// What.
    pub what: Entry,
    /// Files that belong to it.
    pub recordings: Vec<Recording>,
}

fn visit_row(row: &Row<'_>) -> rusqlite::Result<VisitRow> {
    Ok(VisitRow {
        id: row.get(0)?,
        mark: row.get(1)?,
        car: row.get(2)?,
        began_at: row.get(3)?,
    })
}

impl Store {
    /// All visits, newest first; of one car, where one is named.
    pub fn visits(&self, car: Option<i64>) -> Result<Vec<VisitRow>, StoreFault> {
        self.lock()
            .prepare_cached(
                "SELECT id, mark, car, began_at FROM visit WHERE ?1 IS NULL OR car = ?1 ORDER BY id DESC",
            )
            .and_then(|mut select| select.query_map([car], visit_row)?.collect())
            .map_err(|why| self.fault(&why))
    }

    /// One visit.
    pub fn visit(&self, id: i64) -> Result<VisitRow, StoreFault> {
        self.lock()
            .query_row(
                "SELECT id, mark, car, began_at FROM visit WHERE id = ?1",
                [id],
                visit_row,
            )
            .optional()
            .map_err(|why| self.fault(&why))?
            .ok_or(StoreFault::NoVisit { id })
    }

    /// Begins a visit of a car, which is the visit at hand from then on.
    pub fn begin_visit(&self, car: i64, software: &str, at: &str) -> Result<i64, StoreFault> {
        let record = self.car(car)?.record;
        let opened = Entry::Opened {
            car: Box::new(record),
            software: software.to_owned(),
        };
        let mark = uuid::Uuid::new_v4().to_string();
        self.write(|transaction| {
            transaction
                .execute(
                    "INSERT INTO visit (mark, car, began_at) VALUES (?1, ?2, ?3)",
                    (&mark, car, at),
                )
                .map_err(|why| self.fault(&why))?;
            let id = transaction.last_insert_rowid();
            let entry = NewEntry {
                ask: None,
                at: at.to_owned(),
                what: opened,
                recordings: Vec::new(),
            };
            self.insert(transaction, id, 1, &entry)?;
            transaction
                .execute("UPDATE at_hand SET visit = ?1", [id])
                .map_err(|why| self.fault(&why))?;
            Ok(id)
        })
    }

    /// The visit at hand.
    pub fn at_hand(&self) -> Result<Option<i64>, StoreFault> {
        self.lock()
            .query_row("SELECT visit FROM at_hand", [], |row| row.get(0))
            .map_err(|why| self.fault(&why))
    }

    /// Takes a visit to hand, or none.
    pub fn take_to_hand(&self, visit: Option<i64>) -> Result<(), StoreFault> {
        if let Some(id) = visit {
            self.visit(id)?;
        }
        self.lock()
            .execute("UPDATE at_hand SET visit = ?1", [visit])
            .map(drop)
            .map_err(|why| self.fault(&why))
    }

    /// All entries of a visit, in order.
    pub fn entries(&self, visit: i64) -> Result<Vec<Noted<Entry>>, StoreFault> {
        self.visit(visit)?;
        let rows: Vec<(u32, String, String)> = self
            .lock()
            .prepare_cached("SELECT number, at, body FROM entry WHERE visit = ?1 ORDER BY number")
            .and_then(|mut select| {
                select
                    .query_map([visit], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?
                    .collect()
            })
            .map_err(|why| self.fault(&why))?;
        rows.into_iter()
            .map(|(number, at, body)| {
                let what = serde_json::from_str(&body).map_err(|why| {
                    StoreFault::text(
                        text!("Entry {number} of visit {visit}", number, visit),
                        &why,
                    )
                })?;
                Ok(Noted { number, at, what })
            })
            .collect()
    }

    /// Number of the last entry of a visit.
    pub fn last_entry(&self, visit: i64) -> Result<u32, StoreFault> {
        self.lock()
            .query_row(
                "SELECT coalesce(max(number), 0) FROM entry WHERE visit = ?1",
                [visit],
                |row| row.get(0),
            )
            .map_err(|why| self.fault(&why))
    }

    /// Adds an entry and gives its number; when this returns it is on the disk.
    /// What was asked for under the same name before is not added again.
    pub fn add(&self, visit: i64, entry: &NewEntry) -> Result<u32, StoreFault> {
        let entries = self.entries(visit)?;
        let stage = Visit::of(&entries).map_or(Stage::Preparing, |visit| visit.stage);
        let reopens = matches!(entry.what, Entry::Stage { .. });
        self.write(|transaction| {
            if let Some(ask) = &entry.ask {
                let known: Option<u32> = transaction
                    .query_row(
                        "SELECT number FROM entry WHERE visit = ?1 AND ask = ?2",
                        (visit, ask),
                        |row| row.get(0),
                    )
                    .optional()
                    .map_err(|why| self.fault(&why))?;
                if let Some(number) = known {
                    return Ok(number);
                }
            }
            if stage == Stage::Closed && !reopens {
                return Err(StoreFault::Closed { id: visit });
            }
            let last: u32 = transaction
                .query_row(
                    "SELECT coalesce(max(number), 0) FROM entry WHERE visit = ?1",
                    [visit],
                    |row| row.get(0),
                )
                .map_err(|why| self.fault(&why))?;
            if let Entry::TakenBack { number, .. } = entry.what
                && !(2..=last).contains(&number)
            {
                return Err(StoreFault::NoEntry { visit, number });
            }
            self.insert(transaction, visit, last + 1, entry)?;
            Ok(last + 1)
        })
    }

    /// Files that belong to an entry.
    pub fn recordings(&self, visit: i64, number: u32) -> Result<Vec<Recording>, StoreFault> {
        let rows: Vec<(String, Vec<u8>)> = self
            .lock()
            .prepare_cached(
                "SELECT name, content FROM recording WHERE visit = ?1 AND number = ?2 ORDER BY name",
            )
            .and_then(|mut select| {
                select
                    .query_map((visit, number), |row| Ok((row.get(0)?, row.get(1)?)))?
                    .collect()
            })
            .map_err(|why| self.fault(&why))?;
        rows.into_iter()
            .map(|(name, packed)| {
                let mut content = Vec::new();
                GzDecoder::new(packed.as_slice())
                    .take(MOST_RECORDING_BYTES)
                    .read_to_end(&mut content)
                    .map_err(|why| StoreFault::NotUnderstood {
                        what: text!(
                            "Recording {name} of visit {visit}, entry {number}",
                            name = &name,
                            visit,
                            number
                        ),
                        why: why.to_string().into(),
                    })?;
                Ok(Recording { name, content })
            })
            .collect()
    }

    /// Deletes a visit with everything that belongs to it.
    pub fn remove_visit(&self, id: i64) -> Result<(), StoreFault> {
        let removed = self
            .lock()
            .execute("DELETE FROM visit WHERE id = ?1", [id])
            .map_err(|why| self.fault(&why))?;
        if removed == 0 {
            return Err(StoreFault::NoVisit { id });
        }
        Ok(())
    }

    pub(super) fn write<T>(
        &self,
        act: impl FnOnce(&Transaction<'_>) -> Result<T, StoreFault>,
    ) -> Result<T, StoreFault> {
        let mut connection = self.lock();
        let transaction = connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|why| self.fault(&why))?;
        let result = act(&transaction)?;
        transaction.commit().map_err(|why| self.fault(&why))?;
        Ok(result)
    }

    pub(super) fn insert(
        &self,
        transaction: &Transaction<'_>,
        visit: i64,
        number: u32,
        entry: &NewEntry,
    ) -> Result<(), StoreFault> {
        let body = serde_json::to_string(&entry.what)
            .map_err(|why| StoreFault::text(text!("The entry"), &why))?;
        transaction
            .execute(
                "INSERT INTO entry (visit, number, ask, at, body) VALUES (?1, ?2, ?3, ?4, ?5)",
                (visit, number, &entry.ask, &entry.at, &body),
            )
            .map_err(|why| self.fault(&why))?;
        for recording in &entry.recordings {
            let packed = packed(&recording.content).map_err(|why| StoreFault::Database {
                file: self.file.clone(),
                why: why.to_string(),
            })?;
            transaction
                .execute(
                    "INSERT INTO recording (visit, number, name, content) VALUES (?1, ?2, ?3, ?4)",
                    (visit, number, &recording.name, &packed),
                )
                .map_err(|why| self.fault(&why))?;
        }
        Ok(())
    }
}

fn packed(content: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(content)?;
    encoder.finish()
}
