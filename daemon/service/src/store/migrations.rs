//! The layout of the file, by steps that are only ever added.

use rusqlite::Connection;
use rusqlite_migration::{M, Migrations};

/// Why the layout cannot be brought up.
#[derive(Debug)]
pub(super) enum Fault {
    /// A later version of the program wrote it.
    Newer,
    /// The database refused.
    Sql(String),
}

const STEPS: &[M<'static>] = &[
    M::up(include_str!("layout/1.sql")),
    M::up(include_str!("layout/2.sql")),
    M::up(include_str!("layout/3.sql")),
];
const MIGRATIONS: Migrations<'static> = Migrations::from_slice(STEPS);

/// Did a later version of the program write a file of this layout?
pub(super) fn is_newer(layout: i64) -> bool {
    usize::try_from(layout).is_ok_and(|layout| layout > STEPS.len())
}

pub(super) fn bring_up(connection: &mut Connection) -> Result<(), Fault> {
    MIGRATIONS.to_latest(connection).map_err(|why| match why {
        rusqlite_migration::Error::MigrationDefinition(
            rusqlite_migration::MigrationDefinitionError::DatabaseTooFarAhead,
        ) => Fault::Newer,
        other => Fault::Sql(other.to_string()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_steps_are_sound() {
        MIGRATIONS
            .validate()
            .expect("every step runs on the one before");
    }

    #[test]
    fn a_file_of_a_later_version_is_left_alone() {
        let mut connection = Connection::open_in_memory().unwrap();
        connection
            .pragma_update(
                None,
                "user_version",
                i64::try_from(STEPS.len()).unwrap() + 1,
            )
            .unwrap();
        assert!(matches!(bring_up(&mut connection), Err(Fault::Newer)));
    }
}
