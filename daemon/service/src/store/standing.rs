//! What the car stands on and how its boards sit, for the next life of the daemon.

use rusqlite::OptionalExtension as _;

use super::{Store, StoreFault};

impl Store {
    /// Keeps this document in the place of the one before; none: there is nothing to be kept.
    pub fn keep_standing(&self, document: Option<&str>) -> Result<(), StoreFault> {
        let connection = self.lock();
        let kept = match document {
            Some(document) => connection.execute(
                "INSERT INTO standing (id, document) VALUES (1, ?1)
                 ON CONFLICT (id) DO UPDATE SET document = ?1",
                [document],
            ),
            None => connection.execute("DELETE FROM standing", []),
        };
        kept.map(drop).map_err(|why| self.fault(&why))
    }

    /// The document that was kept last.
    pub fn standing(&self) -> Result<Option<String>, StoreFault> {
        self.lock()
            .query_row("SELECT document FROM standing", [], |row| row.get(0))
            .optional()
            .map_err(|why| self.fault(&why))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_one_is_there_again() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(Store::FILE);
        for (kept, found) in [
            (None, None),
            (Some("a"), Some("a")),
            (Some("b"), Some("b")),
            (None, None),
        ] {
            Store::open(&file).unwrap().keep_standing(kept).unwrap();
            assert_eq!(
                Store::open(&file).unwrap().standing().unwrap().as_deref(),
                found
            );
        }
    }
}
