-- What this device has logged and the household's service has not placed yet, where the log is a
-- replica. A record is in `entries` or here; it changes over in the transaction that gives it its
-- position. `number`: the order in which they were written.

CREATE TABLE outbox (
    number INTEGER PRIMARY KEY,
    device INTEGER NOT NULL REFERENCES devices (id),
    seq INTEGER NOT NULL CHECK (seq > 0),
    written INTEGER NOT NULL,
    sent_by INTEGER NOT NULL REFERENCES devices (id),
    content BLOB NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'sent', 'refused', 'aside', 'kept')),
    reason TEXT,
    UNIQUE (device, seq)
) STRICT;
