//! What is to be published and is not with the broker yet.

use super::{Store, StoreFault};

/// A document that waits for the broker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unsent {
    /// Its number.
    pub id: i64,
    /// Where it belongs.
    pub topic: String,
    /// The document; an empty one takes away what stands there.
    pub document: Vec<u8>,
}

impl Store {
    /// Keeps documents with their topics until they are [forgotten](Self::forget_unsent), and of all of
    /// them the newest `most`; gives their numbers.
    pub fn keep_unsent(
        &self,
        documents: &[(String, Vec<u8>)],
        most: usize,
    ) -> Result<Vec<i64>, StoreFault> {
        let mut connection = self.lock();
        let mut keep = || {
            let added = connection.transaction()?;
            let mut ids = Vec::with_capacity(documents.len());
            for (topic, document) in documents {
                added
                    .prepare_cached("INSERT INTO unsent (topic, document) VALUES (?1, ?2)")?
                    .execute((topic, document))?;
                ids.push(added.last_insert_rowid());
            }
            added
                .prepare_cached(
                    "DELETE FROM unsent WHERE id NOT IN (SELECT id FROM unsent ORDER BY id DESC LIMIT ?1)",
                )?
                .execute([i64::try_from(most).unwrap_or(i64::MAX)])?;
            added.commit()?;
            Ok(ids)
        };
        keep().map_err(|why: rusqlite::Error| self.fault(&why))
    }

    /// What waits, oldest first.
    pub fn unsent(&self) -> Result<Vec<Unsent>, StoreFault> {
        self.lock()
            .prepare_cached("SELECT id, topic, document FROM unsent ORDER BY id")
            .and_then(|mut select| {
                let row = |row: &rusqlite::Row<'_>| {
                    Ok(Unsent {
                        id: row.get(0)?,
                        topic: row.get(1)?,
                        document: row.get(2)?,
                    })
                };
                select.query_map([], row)?.collect()
            })
            .map_err(|why| self.fault(&why))
    }

    /// The broker has these, or will never take them.
    pub fn forget_unsent(&self, ids: &[i64]) -> Result<(), StoreFault> {
        let mut connection = self.lock();
        let mut forget = || {
            let gone = connection.transaction()?;
            for id in ids {
                gone.prepare_cached("DELETE FROM unsent WHERE id = ?1")?
                    .execute([id])?;
            }
            gone.commit()
        };
        forget().map_err(|why| self.fault(&why))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn topics(store: &Store) -> Vec<String> {
        let unsent = store.unsent().unwrap().into_iter();
        unsent.map(|unsent| unsent.topic).collect()
    }

    #[test]
    fn what_was_not_sent_is_there_again_bounded_and_in_its_order() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(Store::FILE);
        let store = Store::open(&file).unwrap();
        let letters = |range: std::ops::Range<u8>| -> Vec<(String, Vec<u8>)> {
            range.map(|n| (format!("a/{n}"), vec![n])).collect()
        };
        let ids = store.keep_unsent(&letters(0..3), 4).unwrap();
        store.forget_unsent(&ids[1..2]).unwrap();
        drop(store);
        let store = Store::open(&file).unwrap();
        assert_eq!(topics(&store), ["a/0", "a/2"]);
        assert_eq!(store.unsent().unwrap()[1].document, [2]);
        // Numbers are not given twice: what is forgotten is nothing newer.
        let newer = store.keep_unsent(&letters(3..7), 4).unwrap();
        assert!(newer[0] > ids[2], "{newer:?}");
        assert_eq!(topics(&store), ["a/3", "a/4", "a/5", "a/6"]);
        store.forget_unsent(&ids).unwrap();
        assert_eq!(topics(&store).len(), 4);
    }
}
