"""What is put by in a log's SQLite file, written; and what older entries are about, noted late.

Runs on the writing connection, in a transaction of whoever calls it.
"""

import sqlite3
from collections.abc import Sequence

from events import codec
from events.kept import KeptLot
from events.lots.things import things
from events.record import Record

PAGE = 5000


def keep(
    raw: sqlite3.Connection,
    code: str,
    upto: int,
    thin: bytes,
    lots: Sequence[KeptLot],
    gone: Sequence[str],
) -> None:
    """Put by what has changed; under another code first clear all that stood there."""
    had = raw.execute("SELECT code FROM put_by").fetchone()
    if had is None or had[0] != code:
        for table in ("lots", "story_parts", "lot_names"):
            raw.execute(f"DELETE FROM {table}")  # noqa: S608  a table's name, ours
    renamed = [lot for lot in lots if lot.signs is not None]
    names = [(name,) for name in (*gone, *(lot.name for lot in renamed))]
    raw.executemany("DELETE FROM lot_names WHERE lot = ?", names)
    raw.executemany("DELETE FROM lots WHERE name = ?", [(name,) for name in gone])
    raw.executemany("DELETE FROM story_parts WHERE name = ?", [(name,) for name in gone])
    raw.executemany(
        "INSERT OR REPLACE INTO lots (name, open, last_place, alike, head) VALUES (?, ?, ?, ?, ?)",
        [(lot.name, lot.open, lot.last_place, lot.alike, lot.head) for lot in lots],
    )
    raw.executemany(
        "DELETE FROM story_parts WHERE name = ? AND first >= ?",
        [(lot.name, lot.first) for lot in lots],
    )
    raw.executemany(
        "INSERT INTO story_parts (name, first, story) VALUES (?, ?, ?)",
        [(lot.name, lot.first, lot.story) for lot in lots if lot.story],
    )
    raw.executemany(
        "INSERT OR REPLACE INTO lot_names (name, lot, signs) VALUES (?, ?, ?)",
        [(name, lot.name, signs) for lot in renamed for name, signs in lot.signs or ()],
    )
    raw.execute("DELETE FROM put_by")
    raw.execute("INSERT INTO put_by (code, upto, thin) VALUES (?, ?, ?)", (code, upto, thin))


def note_touches(raw: sqlite3.Connection) -> None:
    """Note what the entries of an older file are about."""
    ids = dict(raw.execute("SELECT name, id FROM devices").fetchall())

    def number(device: str) -> int:
        if device and device not in ids:
            row = raw.execute("INSERT INTO devices (name) VALUES (?) RETURNING id", (device,))
            ids[device] = row.fetchone()[0]
        return ids[device] if device else 0

    position = 0
    while rows := raw.execute(
        "SELECT position, content FROM entries WHERE position > ? ORDER BY position LIMIT ?",
        (position, PAGE),
    ).fetchall():
        for position, content in rows:
            record = codec.decode(content)
            if isinstance(record, Record):
                raw.executemany(
                    "INSERT INTO touches (device, seq, part, position) VALUES (?, ?, ?, ?)",
                    [(number(d), seq, part, position) for d, seq, part in things(record)],
                )
