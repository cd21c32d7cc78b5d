-- Instants are milliseconds since 1970-01-01T00:00:00Z. Bodies are JSON that the store does not look into.

CREATE TABLE room (
    room        TEXT   NOT NULL PRIMARY KEY,
    last_event  TEXT   -- the newest event taken in: where to page back to after a gap
);

-- Every chat event taken in, once, however often it is delivered.
CREATE TABLE event (
    room   TEXT    NOT NULL REFERENCES room (room),
    event  TEXT    NOT NULL,
    taken  BIGINT  NOT NULL,
    PRIMARY KEY (room, event)
);

-- Facts are only ever added.
CREATE TABLE fact (
    room    TEXT    NOT NULL REFERENCES room (room),
    seq     BIGINT  NOT NULL,
    event   TEXT    NOT NULL, -- the message that told it
    author  TEXT    NOT NULL,
    at      BIGINT  NOT NULL, -- the moment it speaks of
    told    BIGINT  NOT NULL,
    body    TEXT    NOT NULL,
    PRIMARY KEY (room, seq)
);

CREATE TABLE nudge (
    room      TEXT    NOT NULL REFERENCES room (room),
    key       TEXT    NOT NULL, -- kind, subject and cycle: planning again never makes a second one
    state     TEXT    NOT NULL,
    attempts  BIGINT  NOT NULL,
    due       BIGINT  NOT NULL,
    next_at   BIGINT,           -- when to act on it next; none: not by itself
    PRIMARY KEY (room, key)
);
CREATE INDEX nudge_next ON nudge (next_at) WHERE next_at IS NOT NULL;
CREATE INDEX nudge_open ON nudge (room) WHERE state IN ('planned', 'sent');

CREATE TABLE outbox (
    seq      INTEGER PRIMARY KEY AUTOINCREMENT,
    room     TEXT    NOT NULL REFERENCES room (room),
    txn      TEXT    NOT NULL, -- the transaction id, a function of the cause
    cause    TEXT    NOT NULL, -- what it is about: an event, or a nudge's key
    body     TEXT    NOT NULL,
    created  BIGINT  NOT NULL,
    tries    BIGINT  NOT NULL,
    next_at  BIGINT,           -- when to send it; none: sent, or given up
    event    TEXT,             -- what it became in the room
    failure  TEXT,             -- why it was given up
    UNIQUE (room, txn)
);
CREATE INDEX outbox_next ON outbox (next_at) WHERE next_at IS NOT NULL;
CREATE INDEX outbox_event ON outbox (room, event);
CREATE INDEX outbox_room ON outbox (room, seq);

-- A question that waits for its answer, one a person and room.
CREATE TABLE question (
    room    TEXT    NOT NULL REFERENCES room (room),
    person  TEXT    NOT NULL,
    body    TEXT    NOT NULL,
    until   BIGINT  NOT NULL,
    PRIMARY KEY (room, person)
);

-- Messages that cannot be decrypted yet, as they came.
CREATE TABLE unread (
    room   TEXT    NOT NULL REFERENCES room (room),
    event  TEXT    NOT NULL,
    raw    TEXT    NOT NULL,
    PRIMARY KEY (room, event)
);

-- Who serves the account: one row. Every write shows its token; whoever takes over raises it, and shuts the one before
-- out. A standby asks, and the one that serves answers: who does not answer is taken to be gone.
CREATE TABLE keeper (
    id        BIGINT NOT NULL PRIMARY KEY CHECK (id = 1),
    token     BIGINT NOT NULL,
    asked     BIGINT NOT NULL,
    answered  BIGINT NOT NULL
);
INSERT INTO keeper (id, token, asked, answered) VALUES (1, 0, 0, 0);
