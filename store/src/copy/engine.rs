//! What a copy needs of an engine, the same for each but for a few words of SQL.

use sqlx::{AssertSqlSafe, QueryBuilder, Row as _, Transaction};

#[cfg(feature = "conformance")]
use super::Column;
use super::{Cell, Row, Table, is_number};
#[cfg(feature = "postgres")]
use crate::PostgresStore;
use crate::{SqliteStore, Store, StoreError};

/// Rows in one statement: at most 10 columns each, and SQLite takes 32,766 values.
const CHUNK: usize = 500;

/// What a copy needs of an engine. Only this file implements it.
pub(crate) trait Carry: Store {
    type Tx;
    /// Sees the store as it is at one moment.
    async fn reading(&self) -> Result<Self::Tx, StoreError>;
    /// Writes for the account.
    async fn writing(&self) -> Result<Self::Tx, StoreError>;
    /// The rows after the given one, a page at most.
    async fn page(tx: &mut Self::Tx, table: &Table, after: Option<&Row>) -> Result<Vec<Row>, StoreError>;
    async fn put(tx: &mut Self::Tx, table: &Table, rows: &[Row]) -> Result<(), StoreError>;
    async fn commit(tx: Self::Tx) -> Result<(), StoreError>;
    fn place(&self) -> &str;
    /// Closes it: all that was written is where it belongs.
    async fn close(&self);
    /// The versions of its tables, and those that this program makes.
    async fn versions(&self) -> Result<(Vec<i64>, Vec<i64>), StoreError>;
}

macro_rules! implement_carry {
    ($store:ty, $driver:ty, $tables:expr, $snapshot:literal, $after:expr, $columns:literal) => {
        #[cfg(feature = "conformance")]
        impl $store {
            /// The columns of its tables, but the migrations' own.
            ///
            /// # Errors
            /// It cannot be read.
            pub async fn columns(&self) -> Result<Vec<Column>, StoreError> {
                let rows: Vec<(String, String, bool, i64)> =
                    sqlx::query_as($columns).fetch_all(&self.pool).await?;
                let column = |(table, column, number, key)| Column { table, column, number, key };
                let mut columns: Vec<Column> = rows.into_iter().map(column).collect();
                columns.sort();
                Ok(columns)
            }
        }

        impl Carry for $store {
            type Tx = Transaction<'static, $driver>;

            async fn reading(&self) -> Result<Self::Tx, StoreError> {
                Ok(self.pool.begin_with($snapshot).await?)
            }

            async fn writing(&self) -> Result<Self::Tx, StoreError> {
                self.begin().await
            }

            async fn page(
                tx: &mut Self::Tx,
                table: &Table,
                after: Option<&Row>,
            ) -> Result<Vec<Row>, StoreError> {
                let statement = AssertSqlSafe(table.page(after.is_none()));
                let mut query = sqlx::query(statement);
                for cell in after.into_iter().flat_map(|row| &row[..table.key.len()]) {
                    query = match cell {
                        Cell::Text(text) => query.bind(text.clone()),
                        Cell::Number(number) => query.bind(*number),
                    };
                }
                let rows = query.fetch_all(&mut **tx).await?;
                let cell = |row: &<$driver as sqlx::Database>::Row, place: usize, column: &str| {
                    Ok(if is_number(column) {
                        Cell::Number(row.try_get(place)?)
                    } else {
                        Cell::Text(row.try_get(place)?)
                    })
                };
                let row = |row: &_| {
                    table.columns().enumerate().map(|(place, column)| cell(row, place, column)).collect()
                };
                rows.iter().map(row).collect()
            }

            async fn put(tx: &mut Self::Tx, table: &Table, rows: &[Row]) -> Result<(), StoreError> {
                for rows in rows.chunks(CHUNK) {
                    let start = format!("INSERT INTO {} ({}) ", table.name, table.list());
                    let mut query = QueryBuilder::<$driver>::new(start);
                    query.push_values(rows, |mut values, row| {
                        for cell in row {
                            match cell {
                                Cell::Text(text) => values.push_bind(text.clone()),
                                Cell::Number(number) => values.push_bind(*number),
                            };
                        }
                    });
                    query.build().execute(&mut **tx).await?;
                }
                Ok(())
            }

            async fn commit(mut tx: Self::Tx) -> Result<(), StoreError> {
                let after: Option<&'static str> = $after;
                if let Some(statement) = after {
                    sqlx::query(statement).execute(&mut *tx).await?;
                }
                Ok(tx.commit().await?)
            }

            fn place(&self) -> &str {
                &self.place
            }

            async fn close(&self) {
                self.pool.close().await;
            }

            async fn versions(&self) -> Result<(Vec<i64>, Vec<i64>), StoreError> {
                let statement = "SELECT version FROM _sqlx_migrations WHERE success ORDER BY version";
                let known = sqlx::query_scalar(statement).fetch_all(&self.pool).await?;
                Ok((known, $tables.iter().map(|migration| migration.version).collect()))
            }
        }
    };
}

implement_carry!(
    SqliteStore,
    sqlx::Sqlite,
    crate::tables::SQLITE,
    "BEGIN",
    None,
    "SELECT t.name, c.name, c.type IN ('BIGINT', 'INTEGER'), c.pk FROM sqlite_master t, pragma_table_info(t.name) c \
     WHERE t.type = 'table' AND t.name NOT LIKE '\\_sqlx%' ESCAPE '\\' AND t.name NOT LIKE 'sqlite%'"
);
#[cfg(feature = "postgres")]
implement_carry!(
    PostgresStore,
    sqlx::Postgres,
    crate::tables::POSTGRES,
    "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
    // The numbers that were carried over are used up.
    Some("SELECT setval(pg_get_serial_sequence('outbox', 'seq'), (SELECT MAX(seq) FROM outbox))"),
    "SELECT c.relname::text, a.attname::text, a.atttypid = 'bigint'::regtype, \
     COALESCE(array_position(i.indkey::int2[], a.attnum) + 1, 0)::bigint FROM pg_class c \
     JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped \
     JOIN pg_index i ON i.indrelid = c.oid AND i.indisprimary \
     WHERE c.relnamespace = (SELECT oid FROM pg_namespace WHERE nspname = current_schema()) AND c.relkind = 'r' AND c.relname <> '_sqlx_migrations'"
);
