//! The SQL, in the subset that SQLite and PostgreSQL take alike: `$n`, `ON CONFLICT`, `RETURNING`, no engine clock.

// Updating the row locks it: two records for one room follow each other, whatever the engine. Not its key: SQLite would
// then look through all that refers to it.
pub(crate) const OPEN_ROOM: &str =
    "INSERT INTO room (room) VALUES ($1) ON CONFLICT (room) DO UPDATE SET last_event = room.last_event";
pub(crate) const TAKE_EVENT: &str =
    "INSERT INTO event (room, event, taken) VALUES ($1, $2, $3) ON CONFLICT (room, event) DO NOTHING";
pub(crate) const SEEN: &str = "SELECT 1 FROM event e WHERE room = $1 AND event = $2 \
     AND NOT EXISTS (SELECT 1 FROM unread u WHERE u.room = e.room AND u.event = e.event)";
pub(crate) const SET_LAST_EVENT: &str = "UPDATE room SET last_event = $2 WHERE room = $1";
pub(crate) const LAST_EVENT: &str = "SELECT last_event FROM room WHERE room = $1";
pub(crate) const ROOMS: &str = "SELECT room FROM room ORDER BY room";

pub(crate) const LAST_FACT: &str = "SELECT COALESCE(MAX(seq), 0) FROM fact WHERE room = $1";
pub(crate) const ADD_FACT: &str =
    "INSERT INTO fact (room, seq, event, author, at, told, body) VALUES ($1, $2, $3, $4, $5, $6, $7)";
pub(crate) const FACTS: &str =
    "SELECT seq, event, author, at, told, body FROM fact WHERE room = $1 AND seq > $2 ORDER BY seq";

pub(crate) const PUT_NUDGE: &str = "INSERT INTO nudge (room, key, state, attempts, due, next_at) \
     VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (room, key) DO UPDATE SET state = excluded.state, \
     attempts = excluded.attempts, due = excluded.due, next_at = excluded.next_at";
pub(crate) const OPEN_NUDGES: &str = "SELECT key, state, attempts, due, next_at FROM nudge \
     WHERE room = $1 AND state IN ('planned', 'sent') ORDER BY key";
pub(crate) const NUDGE: &str =
    "SELECT key, state, attempts, due, next_at FROM nudge WHERE room = $1 AND key = $2";
// On PostgreSQL a claim ends with `FOR UPDATE OF r SKIP LOCKED`: a room that is being written at this moment is left for
// the next look, which its own commit causes, and no other room waits for it.
// `MATERIALIZED` because SQLite would otherwise walk every nudge there ever was, to have the rooms in order.
macro_rules! due_rooms {
    ($lock:literal) => {
        concat!(
            "WITH due AS MATERIALIZED (SELECT room, next_at FROM nudge WHERE next_at <= $1) ",
            "SELECT r.room FROM room r JOIN (SELECT room, MIN(next_at) AS due FROM due GROUP BY room) d ",
            "ON d.room = r.room ORDER BY d.due, r.room LIMIT $2",
            $lock
        )
    };
}
pub(crate) use due_rooms;

pub(crate) const ADD_OUTGOING: &str = "INSERT INTO outbox (room, txn, cause, body, created, tries, next_at) \
     VALUES ($1, $2, $3, $4, $5, 0, $5) ON CONFLICT (room, txn) DO NOTHING";
// Nothing is put off for a day: what seems to wait longer was put off by a clock that was ahead, and goes now. The rooms take
// turns, however much waits in one of them; of two whose turn it is, the one first that was turned away more often.
macro_rules! outbox {
    ($lock:literal) => {
        concat!(
            "WITH due AS MATERIALIZED (SELECT seq FROM outbox WHERE next_at <= $1 ",
            "UNION ALL SELECT seq FROM outbox WHERE next_at > $1 + 86400000), ",
            "waiting AS MATERIALIZED (SELECT room, MIN(seq) AS seq FROM outbox ",
            "WHERE next_at > $1 AND next_at <= $1 + 86400000 GROUP BY room), ",
            "ready AS MATERIALIZED (SELECT o.seq, ROW_NUMBER() OVER (PARTITION BY o.room ORDER BY o.seq) AS turn ",
            "FROM due d JOIN outbox o ON o.seq = d.seq WHERE NOT EXISTS (SELECT 1 FROM waiting w ",
            "WHERE w.room = o.room AND w.seq < o.seq)) ",
            "SELECT o.seq, o.room, o.txn, o.created, o.tries, o.body FROM ready t JOIN outbox o ON o.seq = t.seq ",
            "JOIN room r ON r.room = o.room ORDER BY t.turn, o.tries DESC, o.seq LIMIT $2",
            $lock
        )
    };
}
pub(crate) use outbox;
pub(crate) const SENT: &str = "UPDATE outbox SET event = $2, next_at = NULL WHERE seq = $1";
pub(crate) const PUT_OFF: &str = "UPDATE outbox SET tries = tries + 1, next_at = $2 WHERE seq = $1";
pub(crate) const GIVE_UP: &str =
    "UPDATE outbox SET tries = tries + 1, failure = $2, next_at = NULL WHERE seq = $1";
pub(crate) const ECHOED: &str =
    "UPDATE outbox SET event = $3, next_at = NULL WHERE room = $1 AND txn = $2 AND event IS NULL";
pub(crate) const RECALL: &str = "INSERT INTO outbox (room, txn, cause, body, created, tries, event) \
     VALUES ($1, $2, $3, $4, $5, 0, $6) ON CONFLICT (room, txn) DO NOTHING";
pub(crate) const SENT_AS: &str = "SELECT event FROM outbox WHERE room = $1 AND txn = $2";
pub(crate) const WRITTEN: &str = "SELECT txn, cause, created, body FROM outbox WHERE room = $1 AND txn = $2";
pub(crate) const SAID: &str = "SELECT txn, cause, created, body FROM outbox WHERE room = $1 AND event = $2";
pub(crate) const LAST_SAID: &str =
    "SELECT txn, cause, created, body FROM outbox WHERE room = $1 ORDER BY seq DESC LIMIT 1";
pub(crate) const NEXT_DUE: &str = "SELECT MIN(next_at) FROM (\
     SELECT MIN(next_at) AS next_at FROM outbox o WHERE next_at IS NOT NULL AND NOT EXISTS (\
     SELECT 1 FROM outbox w WHERE w.room = o.room AND w.seq < o.seq AND w.next_at IS NOT NULL) \
     UNION ALL SELECT MIN(next_at) FROM nudge WHERE next_at IS NOT NULL) AS due";

pub(crate) const PUT_QUESTION: &str = "INSERT INTO question (room, person, body, until) VALUES ($1, $2, $3, $4) \
     ON CONFLICT (room, person) DO UPDATE SET body = excluded.body, until = excluded.until";
pub(crate) const DROP_QUESTION: &str = "DELETE FROM question WHERE room = $1 AND person = $2";
pub(crate) const QUESTION: &str = "SELECT body, until FROM question WHERE room = $1 AND person = $2";

// At most `MOST_UNREAD` of a room: anybody in it can send what nobody can read.
pub(crate) const KEEP_UNREAD: &str = "INSERT INTO unread (room, event, raw) SELECT $1, $2, $3 \
     WHERE (SELECT COUNT(*) FROM unread WHERE room = $1) < $4 ON CONFLICT (room, event) DO NOTHING";
pub(crate) const DROP_UNREAD: &str = "DELETE FROM unread WHERE room = $1 AND event = $2";
pub(crate) const UNREAD: &str = "SELECT event, raw FROM unread WHERE room = $1 ORDER BY event";

// The one that serves: see migrations/sqlite/0001_first.sql.
pub(crate) const LEASE: &str = "SELECT token, answered FROM keeper";
pub(crate) const ASK: &str = "UPDATE keeper SET asked = asked + 1";
pub(crate) const ANSWER: &str = "UPDATE keeper SET answered = asked WHERE token = $1 AND answered < asked";
pub(crate) const TAKE: &str =
    "UPDATE keeper SET token = token + 1, answered = asked WHERE token = $1 AND answered = $2";
pub(crate) const SERVES: &str = "SELECT 1 FROM keeper WHERE token = $1";

// A room as a whole.
pub(crate) const EVENTS: &str = "SELECT event, taken FROM event WHERE room = $1 ORDER BY event";
pub(crate) const NUDGES: &str =
    "SELECT key, state, attempts, due, next_at FROM nudge WHERE room = $1 ORDER BY key";
pub(crate) const QUESTIONS: &str = "SELECT person, body, until FROM question WHERE room = $1 ORDER BY person";
pub(crate) const WHOLE_OUTBOX: &str = "SELECT txn, cause, body, created, tries, next_at, event, failure FROM outbox WHERE room = $1 ORDER BY seq";
pub(crate) const ADD_ROOM: &str =
    "INSERT INTO room (room, last_event) VALUES ($1, $2) ON CONFLICT (room) DO NOTHING";
pub(crate) const ADD_OUTBOX_ROW: &str = "INSERT INTO outbox \
     (room, txn, cause, body, created, tries, next_at, event, failure) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
pub(crate) const REWRITE_OUTGOING: &str =
    "UPDATE outbox SET txn = $3, cause = $4, body = $5 WHERE room = $1 AND txn = $2";
pub(crate) const IS_ROOM: &str = "SELECT 1 FROM room WHERE room = $1";
pub(crate) const RENAME: [&str; 6] = [
    "UPDATE event SET room = $2 WHERE room = $1",
    "UPDATE fact SET room = $2 WHERE room = $1",
    "UPDATE nudge SET room = $2 WHERE room = $1",
    // What was put off because the old room is closed waits no longer.
    "UPDATE outbox SET room = $2, next_at = CASE WHEN next_at > created THEN created ELSE next_at END WHERE room = $1",
    "UPDATE question SET room = $2 WHERE room = $1",
    "UPDATE unread SET room = $2 WHERE room = $1",
];
pub(crate) const DELETE_TOLD: [&str; 3] = [
    "DELETE FROM fact WHERE room = $1",
    "DELETE FROM question WHERE room = $1",
    "DELETE FROM unread WHERE room = $1",
];
pub(crate) const DELETE_REST: [&str; 3] = [
    "DELETE FROM event WHERE room = $1",
    "DELETE FROM nudge WHERE room = $1",
    "DELETE FROM outbox WHERE room = $1",
];
pub(crate) const DELETE_ROOM: &str = "DELETE FROM room WHERE room = $1";
