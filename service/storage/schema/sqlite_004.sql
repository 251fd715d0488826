-- A lot's story in the parts in which it was put by: it grows by its last lines, and need not be
-- written whole for each of them. `first`: the line of the story with which a part begins.

DROP TABLE stories;
DELETE FROM put_by;

CREATE TABLE story_parts (
    name TEXT NOT NULL,
    first INTEGER NOT NULL,
    story BLOB NOT NULL,
    PRIMARY KEY (name, first)
) STRICT, WITHOUT ROWID;
