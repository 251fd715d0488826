-- Outgoing mail of one household, beside its log. A reader has one message a period: a week's digest
-- ("2026-W47"), or a note ("2026-11-22 hold-console-12", a day and a cause). The row is the claim of
-- the period and the message in one.

CREATE TABLE meta (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE mail (
    reader TEXT NOT NULL,
    period TEXT NOT NULL,
    state TEXT NOT NULL CHECK (
        state IN ('waiting', 'sending', 'sent', 'refused', 'unknown', 'off', 'late', 'unwanted')
    ),
    made INTEGER NOT NULL,
    address TEXT NOT NULL,
    message_id TEXT NOT NULL,
    message BLOB,
    attempts INTEGER NOT NULL DEFAULT 0,
    next_try INTEGER,
    answer TEXT NOT NULL DEFAULT '',
    noted TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (reader, period)
) STRICT;

CREATE TABLE digests (
    period TEXT PRIMARY KEY,
    made INTEGER NOT NULL,
    digest BLOB NOT NULL,
    said BLOB NOT NULL
) STRICT, WITHOUT ROWID;
