"""A household's log in one SQLite file.

WAL with `synchronous=FULL`: what `append` has returned is on disk. Rules: one connection writes and
checkpoints, under the lock of the home; readers open read-only and take no lock; a transaction is
one function on the connection's own thread, for a hop a statement halves the speed.
"""

import asyncio
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from hashlib import sha256
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import TypeVar

import aiosqlite

from events.kept import KeptLot
from service.errors import GirnelError, HomeInUse, HomeUnwritable, StoreError
from service.storage import lock
from service.storage.shelf import ShelfPast, Still
from service.storage.sqlite_file import connect_reading, connect_writing, told
from service.storage.sqlite_kept import keep
from service.storage.sqlite_past import SqlitePast
from service.storage.sqlite_snapshot import SqliteStill
from service.storage.store import Aside, Heard, Item, Outcome, Row, gaps

WAIT_S = 5.0
"""Seconds that a command waits for another to finish: deeds take a fraction of one."""

INSERT = (
    "INSERT INTO entries (position, device, seq, received, sent_by, content)"
    " VALUES (?, ?, ?, ?, ?, ?)"
)

TOUCH = "INSERT OR IGNORE INTO touches (device, seq, part, position) VALUES (?, ?, ?, ?)"

T = TypeVar("T")


class SqliteStore:
    """An open file. Make one with `open_writing` or `open_reading`, and close it."""

    def __init__(self, path: Path, writing: lock.Lock | None) -> None:
        self._path = path
        self._lock = writing
        self._ids: dict[str, int] = {}
        self._names: dict[int, str] = {}
        self._raw: sqlite3.Connection
        self._db: aiosqlite.Connection | None = None

    async def _open(self, connect: Callable[[], sqlite3.Connection]) -> None:
        """Opened to its end, also for whoever is stopped meanwhile: a thread would be left behind."""
        opening = asyncio.ensure_future(self._connect(connect))
        try:
            await asyncio.shield(opening)
        except asyncio.CancelledError:
            await asyncio.wait([opening])
            opening.exception()
            await self.close()
            raise

    async def _connect(self, connect: Callable[[], sqlite3.Connection]) -> None:
        failed: list[Exception] = []

        def connected() -> sqlite3.Connection:
            try:
                self._raw = connect()
            except (sqlite3.Error, GirnelError) as wrong:
                failed.append(wrong)  # raised here it would leave the thread running on its own
                self._raw = sqlite3.connect(":memory:")
            return self._raw

        def begun() -> None:
            for wrong in failed:
                raise wrong
            self._learn_devices()

        try:
            self._db = await aiosqlite.Connection(connected, iter_chunk_size=1)
            await self._run(begun)
        except BaseException:
            await self.close()
            raise

    async def _run(self, function: Callable[[], T]) -> T:
        """Run a function on the connection's thread, whole: one hop."""
        if self._db is None:
            raise StoreError(f"{self._path} is closed.")
        try:
            done: T = await self._db._execute(function)  # type: ignore[no-untyped-call]
        except sqlite3.Error as wrong:
            raise told(wrong, self._path) from wrong
        return done

    async def append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        if self._lock is None:
            raise HomeUnwritable(f"{self._path} is open for looking only; nothing is written.")
        return await self._run(lambda: self._append(items, received, meta or {}))

    async def page(self, after: int, limit: int) -> list[Row]:
        return await self._run(lambda: self._page(after, limit))

    async def meta(self) -> dict[str, str]:
        return await self._run(
            lambda: dict(self._raw.execute("SELECT name, value FROM meta").fetchall())
        )

    async def devices(self) -> dict[str, Heard]:
        return await self._run(self._devices)

    async def asides(self) -> list[Aside]:
        return await self._run(self._asides)

    def past(self) -> ShelfPast:
        return SqlitePast(self._path, beside_a_writer=self._lock is None)

    def still(self) -> Still:
        return SqliteStill(self._path)

    async def put_by(
        self, code: str, upto: int, thin: bytes, lots: Sequence[KeptLot], gone: Sequence[str]
    ) -> None:
        await self._run(
            lambda: self._transaction(lambda: keep(self._raw, code, upto, thin, lots, gone))
        )

    async def close(self) -> None:
        if self._db is not None:
            db, self._db = self._db, None
            await db.close()
        if self._lock is not None:
            self._lock.release()

    # -- on the connection's thread --------------------------------------------------------------

    def _append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str]
    ) -> list[Outcome]:
        """All new is the common case and one statement; a repeat among them starts it over."""
        with suppress(sqlite3.IntegrityError):
            return self._transaction(lambda: self._append_new(items, received, meta))
        return self._transaction(lambda: self._append_each(items, received, meta))

    def _transaction(self, function: Callable[[], T]) -> T:
        raw = self._raw
        raw.execute("BEGIN IMMEDIATE")
        try:
            done = function()
            raw.execute("COMMIT")
        except BaseException:
            with suppress(sqlite3.Error):
                raw.execute("ROLLBACK")
            self._ids.clear()
            self._learn_devices()
            raise
        return done

    def _append_new(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str]
    ) -> list[Outcome]:
        first = self._next()
        self._raw.executemany(
            INSERT,
            [
                (first + n, self._id(i.device), i.seq, received, self._id(i.sent_by), i.content)
                for n, i in enumerate(items)
            ],
        )
        self._touch(first, items)
        self._write_meta(meta)
        return [Outcome(position, "new") for position in range(first, first + len(items))]

    def _touch(self, first: int, items: Sequence[Item]) -> None:
        """Note what the items are about that stand at `first` and after."""
        self._raw.executemany(
            TOUCH,
            [
                (self._id(device) if device else 0, seq, part, position)
                for position, item in enumerate(items, first)
                for device, seq, part in item.about
            ],
        )

    def _append_each(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str]
    ) -> list[Outcome]:
        outcomes = [self._append_one(item, received) for item in items]
        self._write_meta(meta)
        return outcomes

    def _append_one(self, item: Item, received: int) -> Outcome:
        device, sent_by = self._id(item.device), self._id(item.sent_by)
        found = self._raw.execute(
            "SELECT position, content FROM entries WHERE device = ? AND seq = ?",
            (device, item.seq),
        ).fetchone()
        if found is None:
            position = self._next()
            row = (position, device, item.seq, received, sent_by, item.content)
            self._raw.execute(INSERT, row)
            self._touch(position, (item,))
            return Outcome(position, "new")
        if found[1] == item.content:
            return Outcome(found[0], "known")
        digest = sha256(item.content).digest()
        self._raw.execute(
            "INSERT INTO set_aside VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
            (device, item.seq, digest, received, sent_by, item.content),
        )
        return Outcome(found[0], "aside")

    def _next(self) -> int:
        last = self._raw.execute("SELECT max(position) FROM entries").fetchone()[0]
        return 1 if last is None else int(last) + 1

    def _id(self, device: str) -> int:
        known = self._ids.get(device)
        if known is None:
            row = self._raw.execute("INSERT INTO devices (name) VALUES (?) RETURNING id", (device,))
            known = self._ids[device] = int(row.fetchone()[0])
            self._names[known] = device
        return known

    def _learn_devices(self) -> None:
        for number, name in self._raw.execute("SELECT id, name FROM devices"):
            self._ids[name] = number
            self._names[number] = name

    def _write_meta(self, meta: Mapping[str, str]) -> None:
        self._raw.executemany(
            "INSERT INTO meta VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value",
            list(meta.items()),
        )

    def _page(self, after: int, limit: int) -> list[Row]:
        rows = self._raw.execute(
            "SELECT position, received, sent_by, content FROM entries"
            " WHERE position > ? ORDER BY position LIMIT ?",
            (after, limit),
        ).fetchall()
        names = self._names
        if rows and any(sent_by not in names for _, _, sent_by, _ in rows):
            self._learn_devices()  # a reader beside a writer meets new ones
        return [
            Row(position, received, names[sent_by], content)
            for position, received, sent_by, content in rows
        ]

    def _devices(self) -> dict[str, Heard]:
        rows = self._raw.execute(
            "SELECT name, seq FROM entries JOIN devices ON id = device ORDER BY device, seq"
        )
        heard = {}
        for name, own in groupby(rows, key=itemgetter(0)):
            seqs = [seq for _, seq in own]
            heard[name] = Heard(seqs[-1], gaps(seqs))
        return heard

    def _asides(self) -> list[Aside]:
        return [
            Aside(*row)
            for row in self._raw.execute(
                "SELECT d.name, seq, digest, received, s.name, content FROM set_aside"
                " JOIN devices AS d ON d.id = device JOIN devices AS s ON s.id = sent_by"
                " ORDER BY d.name, seq, digest"
            )
        ]


# -- opening -------------------------------------------------------------------------------------


async def open_writing(path: Path, *, create: bool = False, wait_s: float = WAIT_S) -> SqliteStore:
    """The log, to be written by this process alone; `create` makes an empty one where none is.

    Raises HomeInUse when another process still writes there after `wait_s` seconds.
    """
    store = SqliteStore(path, await _locked(path, wait_s))
    await store._open(lambda: connect_writing(path, create))
    return store


async def open_reading(path: Path) -> SqliteStore:
    """The log, for looking only; beside a process that writes, or where writing is not allowed."""
    store = SqliteStore(path, None)
    await store._open(lambda: connect_reading(path))
    return store


async def _locked(path: Path, wait_s: float) -> lock.Lock:
    file = path.with_suffix(".lock")
    end = asyncio.get_running_loop().time() + wait_s
    while (taken := lock.take(file)) is None:
        if asyncio.get_running_loop().time() >= end:
            raise HomeInUse(
                f"{path.parent} is in use: {lock.holder(file)} is writing there; "
                "wait until that has finished, then say it again."
            )
        await asyncio.sleep(0.02)
    return taken
