-- Who may, beside one household's log and not in it: a copy of the log lets nobody in. No token and
-- no code stands here, only what tells whether one that is shown is right.

CREATE TABLE salt (
    value TEXT NOT NULL
) STRICT;

CREATE TABLE devices (
    device TEXT PRIMARY KEY,
    token BLOB NOT NULL,
    role TEXT NOT NULL CHECK (role IN ('keeper', 'member', 'reader', 'sensor')),
    name TEXT NOT NULL,
    member TEXT,
    paired INTEGER NOT NULL,
    heard INTEGER,
    retired INTEGER
) STRICT, WITHOUT ROWID;

CREATE TABLE codes (
    code BLOB PRIMARY KEY,
    role TEXT NOT NULL CHECK (role IN ('keeper', 'member', 'reader', 'sensor')),
    name TEXT,
    member TEXT,
    formerly TEXT,
    until INTEGER NOT NULL,
    tries INTEGER NOT NULL DEFAULT 0
) STRICT, WITHOUT ROWID;

-- the device may hand over what the other one logged before it was retired
CREATE TABLE consents (
    device TEXT NOT NULL REFERENCES devices (device),
    formerly TEXT NOT NULL,
    PRIMARY KEY (device, formerly)
) STRICT, WITHOUT ROWID;

-- facts about devices that are still to be written into the log by whoever has it open
CREATE TABLE unsaid (
    number INTEGER PRIMARY KEY,
    device TEXT NOT NULL,
    fact TEXT NOT NULL,
    text TEXT NOT NULL
) STRICT;
