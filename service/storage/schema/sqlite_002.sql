-- What each entry is about, so that a closed lot can be read back without reading the log: written
-- in the transaction that appends the entry. The key goes by the device and counter of what it is
-- about, which come in order, so that neighbours in time are neighbours here.

CREATE TABLE touches (
    device INTEGER NOT NULL,
    seq INTEGER NOT NULL,
    part INTEGER NOT NULL,
    position INTEGER NOT NULL,
    PRIMARY KEY (device, seq, part, position)
) STRICT, WITHOUT ROWID;

-- The book as of one position: a row per lot, and the small states. Nothing here is a record: all of
-- it follows from the log, and is thrown away when the program that worked it out changes.

CREATE TABLE put_by (
    code TEXT NOT NULL,
    upto INTEGER NOT NULL,
    thin BLOB NOT NULL
) STRICT;

CREATE TABLE lots (
    name TEXT PRIMARY KEY,
    open INTEGER NOT NULL,
    last_place INTEGER NOT NULL,
    alike INTEGER,
    head BLOB NOT NULL
) STRICT;

CREATE INDEX lots_by_place ON lots (open, last_place);
CREATE INDEX lots_alike ON lots (alike) WHERE open = 0;

CREATE TABLE stories (
    name TEXT PRIMARY KEY,
    story BLOB NOT NULL
) STRICT;

CREATE TABLE lot_names (
    name TEXT PRIMARY KEY,
    lot TEXT NOT NULL,
    signs TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX lot_names_by_signs ON lot_names (signs, name);
CREATE INDEX lot_names_by_lot ON lot_names (lot);
