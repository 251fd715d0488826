-- The log of one household in one file. Positions are gapless from 1. A record's name is its device
-- and that device's own counter, both integers here: an index on random names would halve the speed.

CREATE TABLE meta (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE devices (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE entries (
    position INTEGER PRIMARY KEY CHECK (position > 0),
    device INTEGER NOT NULL REFERENCES devices (id),
    seq INTEGER NOT NULL CHECK (seq > 0),
    received INTEGER NOT NULL,
    sent_by INTEGER NOT NULL REFERENCES devices (id),
    content BLOB NOT NULL,
    UNIQUE (device, seq)
) STRICT;

CREATE TABLE set_aside (
    device INTEGER NOT NULL REFERENCES devices (id),
    seq INTEGER NOT NULL,
    digest BLOB NOT NULL,
    received INTEGER NOT NULL,
    sent_by INTEGER NOT NULL REFERENCES devices (id),
    content BLOB NOT NULL,
    PRIMARY KEY (device, seq, digest)
) STRICT, WITHOUT ROWID;
