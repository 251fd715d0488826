"""A replica's log in one SQLite file: a mirror of the service's entries, and an outbox.

All that is said of the file in `sqlite` holds here. Rule: what `append` has returned is on disk in
the outbox; what `mirror` has returned is on disk in the log and out of the outbox.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from hashlib import sha256
from typing import Any, TypeVar, cast

from events.kept import KeptLot
from service.errors import HomeUnwritable, StoreError
from service.storage.outbox import ASIDE, Count, Placed, Said, State, Waiting, gap
from service.storage.outbox_past import BOOKED, ReplicaPast
from service.storage.shelf import Part, ShelfPast, Still
from service.storage.sqlite import INSERT, SqliteStore
from service.storage.sqlite_past import SqlitePast
from service.storage.sqlite_snapshot import BOOK, forget, take_over
from service.storage.store import Aside, Heard, Item, Outcome, Row, gaps

T = TypeVar("T")

FOLLOWS = ("entries", "touches", *BOOK)
"""The mirror, and what follows from it."""

ASIDE_IN = "INSERT INTO set_aside VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING"

SHUT = "SELECT max(value) FROM meta WHERE name IN ('shut', 'unwhole')"
"""Why nothing may be logged here, where that is so: a sentence."""


class SqliteReplica:
    """An open file that is a replica's log."""

    def __init__(self, store: SqliteStore) -> None:
        self._store = store
        self._raw = store._raw

    async def append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        return await self._change(lambda: self._append(items, received, meta or {}))

    async def page(self, after: int, limit: int) -> list[Row]:
        return await self._store._run(lambda: self._page(after, limit))

    async def meta(self) -> dict[str, str]:
        return await self._store.meta()

    async def devices(self) -> dict[str, Heard]:
        return await self._store._run(self._devices)

    async def asides(self) -> list[Aside]:
        return await self._store._run(self._asides)

    async def close(self) -> None:
        await self._store.close()

    # -- what is put by: the mirror alone, whose positions stay ----------------------------------------

    def past(self) -> ShelfPast:
        store = self._store
        return ReplicaPast(SqlitePast(store._path, beside_a_writer=store._lock is None))

    async def put_by(
        self, code: str, upto: int, thin: bytes, lots: Sequence[KeptLot], gone: Sequence[str]
    ) -> None:
        """Raises a StoreError while something waits: its position is not known yet."""
        if upto != await self.mirrored():
            raise StoreError("What waits to go out is not put by; it is read anew each time.")
        await self._store.put_by(code, upto, thin, lots, gone)

    def still(self) -> Still:
        return self._store.still()

    async def take_over(self, form: int, parts: Iterable[Part]) -> None:
        await self._change(lambda: take_over(self._raw, form, parts))

    async def forget_book(self) -> None:
        await self._change(lambda: forget(self._raw))

    # -- the outbox ----------------------------------------------------------------------------------

    async def outbox(
        self, states: Collection[State], after: int = 0, limit: int = 1000
    ) -> list[Waiting]:
        return await self._store._run(lambda: self._outbox(states, after, limit))

    async def counts(self) -> dict[State, Count]:
        return await self._store._run(self._counts)

    async def mirrored(self) -> int:
        return await self._store._run(lambda: self._store._next() - 1)

    async def note(self, meta: Mapping[str, str]) -> None:
        await self._change(lambda: self._store._write_meta(meta))

    async def said(self, told: Sequence[Said]) -> None:
        await self._change(lambda: self._said(told))

    async def mirror(self, placed: Sequence[Placed]) -> int:
        return await self._change(lambda: self._mirror(placed))

    async def know_aside(self, asides: Sequence[Aside]) -> None:
        await self._change(lambda: self._know_aside(asides))

    async def start_over(self, own: Collection[str]) -> None:
        await self._change(lambda: self._start_over(own))

    async def _change(self, function: Callable[[], T]) -> T:
        store = self._store
        if store._lock is None:
            raise HomeUnwritable(f"{store._path} is open for looking only; nothing is written.")
        return await store._run(lambda: store._transaction(function))

    # -- the log as the ledger sees it: the mirror, then the outbox -----------------------------------

    def _append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str]
    ) -> list[Outcome]:
        if items and (why := self._one(SHUT)):
            raise HomeUnwritable(why)
        outcomes = [self._append_one(item, received) for item in items]
        self._store._write_meta(meta)
        return outcomes

    def _append_one(self, item: Item, received: int) -> Outcome:
        device = self._store._id(item.device)
        found = self._find(device, item.seq)
        if found is None:
            self._raw.execute(
                "INSERT INTO outbox (device, seq, written, sent_by, content, state)"
                " VALUES (?, ?, ?, ?, ?, 'waiting')",
                (device, item.seq, received, self._store._id(item.sent_by), item.content),
            )
            return Outcome(self._store._next() - 1 + self._booked(), "new")
        position, content = found
        if content == item.content:
            return Outcome(position, "known")
        digest = sha256(item.content).digest()
        self._raw.execute(
            ASIDE_IN,
            (device, item.seq, digest, received, self._store._id(item.sent_by), item.content),
        )
        return Outcome(position, "aside")

    def _find(self, device: int, seq: int) -> tuple[int, bytes] | None:
        """The position, or the one that it has for now, and the content of a name."""
        name = (device, seq)
        row = self._raw.execute(
            "SELECT position, content FROM entries WHERE device = ? AND seq = ?", name
        ).fetchone()
        if row is None:
            row = self._raw.execute(
                f"SELECT (SELECT count(*) FROM outbox AS o WHERE o.number <= outbox.number AND o.{BOOKED})"  # noqa: S608
                f" + ?, content FROM outbox WHERE device = ? AND seq = ? AND {BOOKED}",
                (self._store._next() - 1, *name),
            ).fetchone()
        return row and (int(row[0]), bytes(row[1]))

    def _booked(self) -> int:
        return int(self._one(f"SELECT count(*) FROM outbox WHERE {BOOKED}"))  # noqa: S608

    def _one(self, sql: str) -> Any:
        return self._raw.execute(sql).fetchone()[0]

    def _page(self, after: int, limit: int) -> list[Row]:
        rows = self._store._page(after, limit)
        if len(rows) == limit:
            return rows
        last = self._store._next() - 1
        more = self._raw.execute(
            "SELECT written, name, content FROM outbox JOIN devices ON id = sent_by"  # noqa: S608
            f" WHERE {BOOKED} ORDER BY number LIMIT ? OFFSET ?",
            (limit - len(rows), max(0, after - last)),
        )
        first = max(last, after) + 1
        return rows + [
            Row(position, written, name, content)
            for position, (written, name, content) in enumerate(more, first)
        ]

    def _devices(self) -> dict[str, Heard]:
        rows = self._raw.execute(
            "SELECT name, seq FROM devices JOIN (SELECT device, seq FROM entries UNION"  # noqa: S608
            f" SELECT device, seq FROM outbox WHERE {BOOKED}) ON id = device ORDER BY name, seq"
        )
        seqs: dict[str, list[int]] = {}
        for name, seq in rows:
            seqs.setdefault(name, []).append(seq)
        return {name: Heard(own[-1], gaps(own)) for name, own in seqs.items()}

    def _asides(self) -> list[Aside]:
        found = self._store._asides()
        for one in self._outbox(["aside"], 0, -1):
            item = one.item
            digest = sha256(item.content).digest()
            found.append(
                Aside(item.device, item.seq, digest, one.written, item.sent_by, item.content)
            )
        return sorted(found, key=lambda aside: (aside.device, aside.seq, aside.digest))

    # -- the outbox, and the log as the service has it -------------------------------------------------

    def _outbox(self, states: Collection[State], after: int, limit: int) -> list[Waiting]:
        marks = ", ".join("?" * len(states))
        return [
            Waiting(number, Item(name, seq, content, sent_by), written, state, reason)
            for number, name, seq, content, sent_by, written, state, reason in self._raw.execute(
                "SELECT number, d.name, seq, content, s.name, written, state, reason FROM outbox"  # noqa: S608
                " JOIN devices AS d ON d.id = device JOIN devices AS s ON s.id = sent_by"
                f" WHERE number > ? AND state IN ({marks}) ORDER BY number LIMIT ?",
                (after, *states, limit),
            )
        ]

    def _counts(self) -> dict[State, Count]:
        rows = self._raw.execute("SELECT state, count(*), min(written) FROM outbox GROUP BY state")
        return {cast("State", state): Count(number, since) for state, number, since in rows}

    def _said(self, told: Sequence[Said]) -> None:
        self._raw.executemany(
            "UPDATE outbox SET state = ?, reason = ? WHERE device = ? AND seq = ?",
            [(one.state, one.reason, self._store._id(one.device), one.seq) for one in told],
        )

    def _mirror(self, placed: Sequence[Placed]) -> int:
        last = self._store._next() - 1
        fresh = [one for one in placed if one.position > last]
        for position, one in enumerate(fresh, last + 1):
            if one.position != position:
                raise StoreError(gap(position - 1, one.position))
        rows = [
            (
                p.position, self._store._id(p.item.device), p.item.seq, p.received,
                self._store._id(p.item.sent_by), p.item.content,
            )
            for p in fresh
        ]  # fmt: skip
        self._raw.executemany(INSERT, rows)
        self._store._touch(last + 1, [one.item for one in fresh])
        if self._one("SELECT EXISTS (SELECT 1 FROM outbox)"):
            names = [(device, seq, content) for _, device, seq, _, _, content in rows]
            self._raw.executemany(
                "DELETE FROM outbox WHERE device = ? AND seq = ? AND content = ?", names
            )
            self._raw.executemany(
                "UPDATE outbox SET state = 'aside', reason = ? WHERE device = ? AND seq = ?",
                [(ASIDE, device, seq) for device, seq, _ in names],
            )
        return len(rows)

    def _know_aside(self, asides: Sequence[Aside]) -> None:
        ids = self._store._id
        self._raw.executemany(
            ASIDE_IN,
            [
                (ids(a.device), a.seq, a.digest, a.received, ids(a.sent_by), a.content)
                for a in asides
            ],
        )

    def _start_over(self, own: Collection[str]) -> None:
        ids = [self._store._id(device) for device in own]
        marks = ", ".join("?" * len(ids))
        self._raw.execute(
            "INSERT INTO outbox (device, seq, written, sent_by, content, state)"  # noqa: S608
            " SELECT device, seq, received, sent_by, content,"
            f" CASE WHEN device IN ({marks}) THEN 'waiting' ELSE 'kept' END"
            " FROM entries ORDER BY position",
            ids,
        )
        for table in FOLLOWS:
            self._raw.execute(f"DELETE FROM {table}")  # noqa: S608
        self._raw.execute("UPDATE outbox SET state = 'waiting' WHERE state = 'sent'")
