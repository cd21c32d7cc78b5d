-- What is asked at every message must not grow with what was said before: each of these holds only what still waits.
DROP INDEX nudge_open;
CREATE INDEX nudge_open ON nudge (room, key) WHERE state IN ('planned', 'sent');
DROP INDEX nudge_next;
CREATE INDEX nudge_next ON nudge (next_at, room) WHERE next_at IS NOT NULL;
CREATE INDEX outbox_waiting ON outbox (room, seq) WHERE next_at IS NOT NULL;
