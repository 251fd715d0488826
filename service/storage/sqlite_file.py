"""The SQLite file itself: opened for writing or looking, its schema, and its errors in words.

A file is looked at before anything is written in it: what is not a household's log stays as it is.
Rule: schema files are numbered and never changed once they are released.
"""

import sqlite3
from importlib import resources
from pathlib import Path

from service.errors import (
    DiskFull,
    ForeignFile,
    HomeInUse,
    HomeUnwritable,
    NewerSchema,
    StoreError,
    TornFile,
)
from service.storage.sqlite_kept import note_touches

APPLICATION_ID = 0x4769726E
"""Stands in the file's head: this file is a household's log."""

OLDEST = (3, 37, 0)
"""The first SQLite that knows strict tables."""

TOUCHES = 2
"""The schema file with which entries are noted by what they are about."""

UNOPENED = (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM)


def connect_writing(path: Path, create: bool) -> sqlite3.Connection:
    mode = "rwc" if create else "rw"
    raw = sqlite3.connect(f"{path.absolute().as_uri()}?mode={mode}", uri=True, isolation_level=None)
    try:
        version = _version(raw, path, create)
        raw.execute("PRAGMA journal_mode = WAL")
        raw.execute("PRAGMA synchronous = FULL")
        _bring_up_to_date(raw, version)
    except BaseException:
        raw.close()
        raise
    return raw


def connect_reading(path: Path) -> sqlite3.Connection:
    """The file for looking only.

    Where the directory is read-only SQLite cannot make its index of the WAL; if there is no WAL,
    nobody is writing, and the file alone is the log.
    """
    try:
        return _looking(path, "mode=ro")
    except sqlite3.OperationalError as wrong:
        wal = path.with_name(path.name + "-wal")
        if _primary(wrong) not in UNOPENED or (wal.exists() and wal.stat().st_size):
            raise
    return _looking(path, "mode=ro&immutable=1")


def _looking(path: Path, how: str) -> sqlite3.Connection:
    uri = f"{path.absolute().as_uri()}?{how}"
    raw = sqlite3.connect(uri, uri=True, isolation_level=None)
    try:
        _refuse_older(_version(raw, path, create=False), path)
    except BaseException:
        raw.close()
        raise
    return raw


def _refuse_older(version: int, path: Path) -> None:
    if version < len(schema()):
        raise StoreError(f"{path} was made by an older program; any deed brings it up to date.")


def _version(raw: sqlite3.Connection, path: Path, create: bool) -> int:
    """The file's schema version, once it is sure that the file is a log; 0: nothing in it yet."""
    if sqlite3.sqlite_version_info < OLDEST:
        raise StoreError(
            f"This Python has SQLite {sqlite3.sqlite_version}; 3.37 or later is needed."
        )
    application = raw.execute("PRAGMA application_id").fetchone()[0]
    version = int(raw.execute("PRAGMA user_version").fetchone()[0])
    tables = raw.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    if (application, version, tables) == (0, 0, 0):
        if not create:
            raise TornFile(
                f"{path} is empty: it was cut off, or was never filled. "
                "Put back a copy of it, or begin anew with girnel init."
            )
        return 0
    if application != APPLICATION_ID:
        raise ForeignFile(
            f"{path} is not a household's log but some other program's database; "
            "name another directory with --home."
        )
    if version > len(schema()):
        raise NewerSchema(
            f"{path} was made by a newer program (its form is {version}, this one knows "
            f"{len(schema())}); use that one. Nothing was changed."
        )
    return version


def _bring_up_to_date(raw: sqlite3.Connection, version: int) -> None:
    """Run the schema files past a version, each in a transaction of its own."""
    for number, text in enumerate(schema()[version:], version + 1):
        head = f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {number};"
        try:
            raw.executescript(f"BEGIN IMMEDIATE; {text}; {head}")
            if number == TOUCHES and version:
                note_touches(raw)
            raw.execute("COMMIT")
        except sqlite3.Error:
            if raw.in_transaction:
                raw.execute("ROLLBACK")
            raise


def schema() -> list[str]:
    """The numbered schema files, first to last."""
    folder = resources.files("service.storage") / "schema"
    files = sorted(f.name for f in folder.iterdir() if f.name.startswith("sqlite_"))
    return [(folder / name).read_text(encoding="utf-8") for name in files]


def told(wrong: sqlite3.Error, path: Path) -> StoreError | HomeInUse | HomeUnwritable:
    """SQLite's error as one of ours."""
    code = _primary(wrong)
    if code == sqlite3.SQLITE_FULL:
        return DiskFull(f"The disk of {path.parent} is full: nothing was written. Make room first.")
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return TornFile(
            f"{path} is damaged or not a household's log ({wrong}). Nothing was changed: "
            "put back a copy of it, or name another directory with --home."
        )
    if code in UNOPENED:
        return HomeUnwritable(
            f"{path} may not be written to or opened ({wrong}); look at who owns it, "
            "or name another directory with --home."
        )
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return HomeInUse(f"{path} is locked by another program; close that, then say it again.")
    return StoreError(f"{path} could not be read or written ({wrong}); nothing was written.")


def _primary(wrong: sqlite3.Error) -> int:
    return (getattr(wrong, "sqlite_errorcode", None) or 0) & 0xFF
