//! The tables, version by version. Listed here rather than gathered by the driver's macro, which would have the driver and
//! the whole of SQLite built a second time, for the compiler.

use std::sync::LazyLock;

use sqlx::SqlSafeStr;
use sqlx::migrate::{Migration, MigrationType, Migrator};

/// A version of the tables: its number, its name and its statements.
type Version = (i64, &'static str, &'static str);

const SQLITE_VERSIONS: [Version; 2] = [
    (1, "first", include_str!("../migrations/sqlite/0001_first.sql")),
    (2, "indexes", include_str!("../migrations/sqlite/0002_indexes.sql")),
];

#[cfg(feature = "postgres")]
const POSTGRES_VERSIONS: [Version; 2] = [
    (1, "first", include_str!("../migrations/postgres/0001_first.sql")),
    (2, "indexes", include_str!("../migrations/postgres/0002_indexes.sql")),
];

/// The tables on SQLite.
pub(crate) static SQLITE: LazyLock<Migrator> = LazyLock::new(|| migrator(&SQLITE_VERSIONS));

/// The tables on PostgreSQL.
#[cfg(feature = "postgres")]
pub(crate) static POSTGRES: LazyLock<Migrator> = LazyLock::new(|| migrator(&POSTGRES_VERSIONS));

fn migrator(versions: &[Version]) -> Migrator {
    let migration = |&(version, name, sql): &Version| {
        Migration::new(version, name.into(), MigrationType::Simple, sql.into_sql_str(), false)
    };
    Migrator::with_migrations(versions.iter().map(migration).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files(engine: &str) -> Vec<String> {
        let folder = format!("{}/migrations/{engine}", env!("CARGO_MANIFEST_DIR"));
        let names = std::fs::read_dir(folder).unwrap().map(|file| file.unwrap().file_name());
        let mut names: Vec<String> = names.map(|name| name.into_string().unwrap()).collect();
        names.sort();
        names
    }

    fn listed(versions: &[Version]) -> Vec<String> {
        versions.iter().map(|(version, name, _)| format!("{version:04}_{name}.sql")).collect()
    }

    #[test]
    fn every_file_of_a_version_is_listed() {
        assert_eq!(listed(&SQLITE_VERSIONS), files("sqlite"));
        #[cfg(feature = "postgres")]
        assert_eq!(listed(&POSTGRES_VERSIONS), files("postgres"));
    }
}
