"""Copies of the log by the day, in a folder beside it: made whole, looked at, the oldest let go.

SQLite's own online copy, so that a log may be copied while it is written to. Rule: a copy has its
name only once it has been read back and is sound. Outgoing mail is not copied: what went out is in
the log, and what had not gone out is old when a copy is put back.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

from service.errors import TornFile
from service.storage.sqlite_file import told

FOLDER = "copies"
KEEP_DAYS = 7
KEEP_MONTHS = 6
"""The last days, and the first copy of each of the last months."""


def copy_log(log: Path, folder: Path, day: date) -> Path | None:
    """The day's copy, None where there is one already. Raises a StoreError; the log is never hurt."""
    path = folder / f"log-{day.isoformat()}.db"
    if path.exists():
        return None
    folder.mkdir(exist_ok=True)
    part = path.with_suffix(".part")
    part.unlink(missing_ok=True)
    try:
        _copy(log, part)
        _look_at(part)
    except sqlite3.Error as wrong:
        raise told(wrong, part) from wrong
    part.replace(path)
    for old in _to_let_go(sorted(folder.glob("log-????-??-??.db"))):
        old.unlink(missing_ok=True)
    return path


def _copy(log: Path, part: Path) -> None:
    with (
        closing(sqlite3.connect(f"{log.absolute().as_uri()}?mode=ro", uri=True)) as source,
        closing(sqlite3.connect(part)) as copy,
    ):
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")


def _look_at(part: Path) -> None:
    with closing(sqlite3.connect(f"{part.absolute().as_uri()}?mode=ro", uri=True)) as copy:
        sound = copy.execute("PRAGMA integrity_check").fetchone()[0]
        count, last = copy.execute("SELECT count(*), max(position) FROM entries").fetchone()
        if sound != "ok" or count != (last or 0):
            raise TornFile(f"The copy {part} is not whole ({sound}): the log is to be looked at.")


def _to_let_go(paths: list[Path]) -> Iterator[Path]:
    months = {path.stem[:-3]: path for path in reversed(paths)}
    kept = {*paths[-KEEP_DAYS:], *(months[month] for month in sorted(months)[-KEEP_MONTHS:])}
    yield from (path for path in paths if path not in kept)
