"""Whether a log's file is sound, as far as SQLite can tell, and what is known of this SQLite.

It looks and mends nothing; readers open the file read-only. Rule: a fault of a version is named
where it can hurt a log at all, with what keeps it from doing so.
"""

import sqlite3
from contextlib import closing
from pathlib import Path

from service.errors import GirnelError
from service.storage.sqlite_file import connect_reading, told

WAL_RESET = ((3, 7, 0), (3, 51, 2))
"""The first and last version that may damage a file which two connections write or checkpoint at
the same moment ("WAL-reset bug", SQLite's release notes of 3.51.3, read second-hand)."""

Version = tuple[int, int, int]


def faults(path: Path) -> list[str]:
    """What is wrong with the file's pages and indexes, in SQLite's words; none: it is sound."""
    try:
        with closing(connect_reading(path)) as raw:
            said = [str(row[0]) for row in raw.execute("PRAGMA integrity_check(20)")]
    except GirnelError as wrong:
        return [wrong.sentence]
    except sqlite3.Error as wrong:
        return [told(wrong, path).sentence]
    return [] if said == ["ok"] else said


def version() -> Version:
    """Of the SQLite that this Python has."""
    first, second, third = sqlite3.sqlite_version_info[:3]
    return first, second, third


def may_reset_wal(this: Version) -> bool:
    """Whether a version has the fault that two writing connections wake."""
    first, last = WAL_RESET
    return first <= this <= last
