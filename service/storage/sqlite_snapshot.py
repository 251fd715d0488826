"""A log's SQLite file read through as of one moment; and a book put by in one file taken into another.

A book that was put by stands in tables of its own, and nothing in them is of this file alone: their
rows go from file to file as they are. Rule: a row comes to rest in a table of the same schema, or
not at all.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import Any

from events.book import Book
from events.kept import take_up_thin
from service.errors import StoreError
from service.storage.shelf import Part, PutBy
from service.storage.sqlite_past import SqlitePast
from service.storage.store import know_twin

BOOK = ("lots", "story_parts", "lot_names", "put_by")
"""The tables that hold a book."""

DISK = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CORRUPT)
"""What is not the rows' fault."""

ROWS = 500
BYTES = 256 * 1024
"""Rows of a part at the most, and bytes after which it ends."""


class SqliteStill:
    """A file at one moment, on a connection of its own."""

    def __init__(self, path: Path) -> None:
        self._past = SqlitePast(path, beside_a_writer=True)

    def close(self) -> None:
        self._past.close()

    def put_by(self) -> PutBy | None:
        form = self._past._all("PRAGMA user_version", ())[0][0]
        found = self._past._all("SELECT code, upto FROM put_by", ())
        return PutBy(program=found[0][0], form=form, upto=found[0][1]) if found else None

    def book(self, program: str) -> Book | None:
        taken = self._past.taken_up(program)
        if taken is None:
            return None
        book = Book(self._past, take_up_thin(taken.thin), taken.lots)
        for name, seq, digest in self._past._all(
            "SELECT name, seq, digest FROM set_aside JOIN devices ON id = device", ()
        ):
            know_twin(book.twins, f"{name}:{seq}", digest.hex())
        return book

    def contents(self, upto: int) -> Iterator[bytes]:
        sql = "SELECT content FROM entries WHERE position <= ? ORDER BY position"
        return (content for (content,) in self._past._each(sql, (upto,)))

    def parts(self) -> Iterator[Part]:
        for table in BOOK:
            rows: list[tuple[Any, ...]] = []
            size = 0
            for row in self._past._each(f"SELECT * FROM {table}", ()):  # noqa: S608  a table, ours
                rows.append(row)
                size += sum(len(value) for value in row if isinstance(value, bytes))
                if len(rows) == ROWS or size >= BYTES:
                    yield Part(table, rows)
                    rows, size = [], 0
            if rows:
                yield Part(table, rows)


def take_over(raw: sqlite3.Connection, form: int, parts: Iterable[Part]) -> None:
    """Have a book from elsewhere in place of what was put by here. StoreError where it is no book.

    Runs in a transaction of whoever calls it.
    """
    if raw.execute("PRAGMA user_version").fetchone()[0] != form:
        raise StoreError(NOT_OURS)
    forget(raw)
    for part in parts:
        if part.table not in BOOK or len({len(row) for row in part.rows}) != 1:
            raise StoreError(NOT_OURS)
        marks = ", ".join("?" * len(part.rows[0]))
        try:
            raw.executemany(f"INSERT INTO {part.table} VALUES ({marks})", part.rows)  # noqa: S608
        except (sqlite3.Error, OverflowError) as wrong:
            if getattr(wrong, "sqlite_errorcode", None) in DISK:
                raise
            raise StoreError(NOT_OURS) from None
    upto, last = chain.from_iterable(
        raw.execute("SELECT (SELECT max(upto) FROM put_by), (SELECT max(position) FROM entries)")
    )
    if upto is None or upto > (last or 0):
        raise StoreError(NOT_OURS)


def forget(raw: sqlite3.Connection) -> None:
    """Let go of the book that was put by; the log gives it again."""
    for table in BOOK:
        raw.execute(f"DELETE FROM {table}")  # noqa: S608  a table's name, ours


NOT_OURS = (
    "The snapshot is not of this program's form, or of a longer log; nothing of it was taken."
)
