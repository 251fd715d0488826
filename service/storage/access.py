"""The file beside a log that says which devices may: hashes of tokens, open codes, consents.

It is a file of its own, so that a copy of the log lets nobody in, and so that the console may pair
and retire beside a service that holds the log. Rules: transactions are short, for two processes
may write; the journal is SQLite's plain one, whose locks between processes have no known fault; no
token or code is ever in it.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from importlib import resources
from pathlib import Path

from msgspec import Struct

from service.errors import HomeUnwritable, NewerSchema, TornFile
from service.storage.sqlite_file import told

WAIT_S = 2.0
"""Seconds to wait for another process: it holds the file for a few milliseconds."""

APPLICATION_ID = 0x47694163
"""Stands in the file's head: this file says who may."""

COLUMNS = "device, token, role, name, member, paired, heard, retired"


class DeviceRow(Struct, frozen=True):
    """A device that was paired. `token` is a SHA-256; times are Unix milliseconds."""

    device: str
    token: bytes
    role: str
    name: str
    member: str | None
    paired: int
    heard: int | None = None
    retired: int | None = None


class CodeRow(Struct, frozen=True):
    """A code that is open, and what it is for. `code` is a hash."""

    code: bytes
    role: str
    name: str | None
    member: str | None
    formerly: str | None
    until: int
    tries: int = 0


class Fact(Struct, frozen=True):
    """A fact about a device that the log does not say yet."""

    number: int
    device: str
    fact: str
    text: str


class AccessFile:
    """The file, open. Everything raises a StoreError or HomeError where the disk does not do it."""

    def __init__(self, path: Path, salt: str) -> None:
        self.path = path
        self._seen = -1
        self._raw = _connect(path, salt)

    @property
    def salt(self) -> str:
        """What is hashed with every code."""
        with self._told():
            return str(self._raw.execute("SELECT value FROM salt").fetchone()[0])

    def changed(self) -> bool:
        """Whether another connection has written since this was asked last."""
        with self._told():
            seen = int(self._raw.execute("PRAGMA data_version").fetchone()[0])
        self._seen, before = seen, self._seen
        return seen != before

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction: all of the block, or nothing."""
        with self._told():
            self._raw.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._raw.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    self._raw.execute("ROLLBACK")
                raise

    # -- devices -----------------------------------------------------------------------------------

    def devices(self) -> list[DeviceRow]:
        """Every device that was paired, retired ones too, oldest first."""
        with self._told():
            rows = self._raw.execute(f"SELECT {COLUMNS} FROM devices ORDER BY paired, device")  # noqa: S608
            return [DeviceRow(*row) for row in rows]

    def add_device(self, row: DeviceRow) -> None:
        with self._told():
            self._raw.execute(
                f"INSERT INTO devices ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",  # noqa: S608
                [getattr(row, column) for column in COLUMNS.split(", ")],
            )

    def rename(self, device: str, name: str) -> None:
        with self._told():
            self._raw.execute("UPDATE devices SET name = ? WHERE device = ?", (name, device))

    def retire(self, device: str, now: int) -> None:
        """Its token counts no more."""
        with self._told():
            self._raw.execute(
                "UPDATE devices SET retired = ?, token = x'' WHERE device = ? AND retired IS NULL",
                (now, device),
            )

    def heard(self, device: str, now: int) -> None:
        with self._told():
            self._raw.execute("UPDATE devices SET heard = ? WHERE device = ?", (now, device))

    def consents(self) -> dict[str, frozenset[str]]:
        """Each device that may hand over for others, to those."""
        found: dict[str, set[str]] = {}
        with self._told():
            for device, formerly in self._raw.execute("SELECT device, formerly FROM consents"):
                found.setdefault(device, set()).add(formerly)
        return {device: frozenset(others) for device, others in found.items()}

    def consent(self, device: str, formerly: str) -> None:
        with self._told():
            self._raw.execute(
                "INSERT INTO consents VALUES (?, ?) ON CONFLICT DO NOTHING", (device, formerly)
            )

    # -- codes -------------------------------------------------------------------------------------

    def codes(self) -> list[CodeRow]:
        """The codes that nobody has used, old ones too."""
        with self._told():
            rows = self._raw.execute(
                "SELECT code, role, name, member, formerly, until, tries FROM codes"
            )
            return [CodeRow(*row) for row in rows]

    def add_code(self, row: CodeRow) -> None:
        with self._told():
            self._raw.execute(
                "INSERT INTO codes (code, role, name, member, formerly, until)"
                " VALUES (?, ?, ?, ?, ?, ?)",
                (row.code, row.role, row.name, row.member, row.formerly, row.until),
            )

    def drop_codes(self, codes: Sequence[bytes]) -> None:
        with self._told():
            self._raw.executemany("DELETE FROM codes WHERE code = ?", [(code,) for code in codes])

    def tried(self) -> None:
        """Somebody has shown a code that is none: it counts against each that is open."""
        with self._told():
            self._raw.execute("UPDATE codes SET tries = tries + 1")

    # -- what the log is still to say ----------------------------------------------------------------

    def unsaid(self) -> list[Fact]:
        with self._told():
            rows = self._raw.execute(
                "SELECT number, device, fact, text FROM unsaid ORDER BY number"
            )
            return [Fact(*row) for row in rows]

    def to_say(self, device: str, facts: dict[str, str]) -> None:
        with self._told():
            self._raw.executemany(
                "INSERT INTO unsaid (device, fact, text) VALUES (?, ?, ?)",
                [(device, fact, text) for fact, text in facts.items()],
            )

    def said(self, numbers: Sequence[int]) -> None:
        with self._told():
            self._raw.executemany("DELETE FROM unsaid WHERE number = ?", [(n,) for n in numbers])

    def close(self) -> None:
        """Let go of it; more than once is harmless."""
        self._raw.close()

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as wrong:
            raise told(wrong, self.path) from wrong


def _connect(path: Path, salt: str) -> sqlite3.Connection:
    try:
        path.touch(0o600, exist_ok=True)
    except OSError as wrong:
        raise HomeUnwritable(
            f"{path} cannot be made ({wrong.strerror}); look at who owns {path.parent}."
        ) from None
    raw = sqlite3.connect(path, isolation_level=None, timeout=WAIT_S)
    try:
        _look_at(raw, path, salt)
    except sqlite3.Error as wrong:
        raw.close()
        raise told(wrong, path) from wrong
    except BaseException:
        raw.close()
        raise
    return raw


def _look_at(raw: sqlite3.Connection, path: Path, salt: str) -> None:
    """Make the tables where there are none; refuse what this program did not make."""
    raw.execute("PRAGMA synchronous = FULL")
    raw.execute("BEGIN IMMEDIATE")  # two programs may make it at once
    try:
        version = int(raw.execute("PRAGMA user_version").fetchone()[0])
        application = raw.execute("PRAGMA application_id").fetchone()[0]
        _refuse_foreign(application, version, path)
        for number, text in enumerate(schema()[version:], version + 1):
            for statement in filter(str.strip, text.split(";")):
                raw.execute(statement)
            raw.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            raw.execute(f"PRAGMA user_version = {number}")
        if not version:
            raw.execute("INSERT INTO salt VALUES (?)", (salt,))
        raw.execute("COMMIT")
    except BaseException:
        raw.execute("ROLLBACK")
        raise


def _refuse_foreign(application: int, version: int, path: Path) -> None:
    if application not in (0, APPLICATION_ID) or (version and not application):
        raise TornFile(f"{path} does not say who may: it is another program's. Put it away.")
    if version > len(schema()):
        raise NewerSchema(f"{path} was made by a newer program; use that one.")


def schema() -> list[str]:
    """The numbered schema files, first to last."""
    folder = resources.files("service.storage") / "schema"
    files = sorted(f.name for f in folder.iterdir() if f.name.startswith("access_"))
    return [(folder / name).read_text(encoding="utf-8") for name in files]
