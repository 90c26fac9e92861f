//! Cars.

use rusqlite::{OptionalExtension, Row};

use super::{Store, StoreFault};
use crate::car::CarRecord;
use crate::text;

/// A car that is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct CarRow {
    /// Its number.
    pub id: i64,
    /// When it was last changed, RFC 3339.
    pub changed_at: String,
    /// What is known of it.
    pub record: CarRecord,
}

fn row(row: &Row<'_>) -> rusqlite::Result<(i64, String, String)> {
    Ok((row.get(0)?, row.get(1)?, row.get(2)?))
}

fn car((id, changed_at, text): (i64, String, String)) -> Result<CarRow, StoreFault> {
    let record =
        serde_json::from_str(&text).map_err(|why| StoreFault::text(text!("Car {id}", id), &why))?;
    Ok(CarRow {
        id,
        changed_at,
        record,
    })
}

fn written(record: &CarRecord) -> Result<String, StoreFault> {
    serde_json::to_string(record).map_err(|why| StoreFault::text(text!("The car"), &why))
}

impl Store {
    /// All cars, in the order they were added.
    pub fn cars(&self) -> Result<Vec<CarRow>, StoreFault> {
        let connection = self.lock();
        let rows: Vec<_> = connection
            .prepare_cached("SELECT id, changed_at, record FROM car ORDER BY id")
            .and_then(|mut select| select.query_map([], row)?.collect())
            .map_err(|why| self.fault(&why))?;
        rows.into_iter().map(car).collect()
    }

    /// One car.
    pub fn car(&self, id: i64) -> Result<CarRow, StoreFault> {
        let found = self
            .lock()
            .query_row(
                "SELECT id, changed_at, record FROM car WHERE id = ?1",
                [id],
                row,
            )
            .optional()
            .map_err(|why| self.fault(&why))?;
        car(found.ok_or(StoreFault::NoCar { id })?)
    }

    /// Keeps a new car and gives its number.
    pub fn add_car(&self, record: &CarRecord, at: &str) -> Result<i64, StoreFault> {
        let text = written(record)?;
        let connection = self.lock();
        connection
            .execute(
                "INSERT INTO car (changed_at, record) VALUES (?1, ?2)",
                [at, &text],
            )
            .map_err(|why| self.fault(&why))?;
        Ok(connection.last_insert_rowid())
    }

    /// Puts another record in the place of a car's.
    pub fn change_car(&self, id: i64, record: &CarRecord, at: &str) -> Result<(), StoreFault> {
        let text = written(record)?;
        let changed = self
            .lock()
            .execute(
                "UPDATE car SET changed_at = ?2, record = ?3 WHERE id = ?1",
                (id, at, &text),
            )
            .map_err(|why| self.fault(&why))?;
        if changed == 0 {
            return Err(StoreFault::NoCar { id });
        }
        Ok(())
    }

    /// Forgets a car. Its visits stay, with the car as it was then.
    pub fn remove_car(&self, id: i64) -> Result<(), StoreFault> {
        let removed = self
            .lock()
            .execute("DELETE FROM car WHERE id = ?1", [id])
            .map_err(|why| self.fault(&why))?;
        if removed == 0 {
            return Err(StoreFault::NoCar { id });
        }
        Ok(())
    }
}
