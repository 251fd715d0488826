"""A log's SQLite file as a book looks things up in it: what entries are about, lots put by.

It has a connection of its own, for the thread that folds, and never writes. Beside a process that
writes it stands in one transaction, so that lots and entries are of one moment. Rule: what is
asked for is found by a key; nothing here reads the log from end to end but `every`.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from itertools import starmap
from pathlib import Path

from events import codec
from events.kept import take_up
from events.lots.state import Lot
from events.lots.things import NAMED, Thing
from events.past import LAST
from events.record import Entry, Unread, UnreadEntry
from service.errors import TornFile
from service.storage.shelf import Taken
from service.storage.sqlite_file import connect_reading, told

ENTRY = "SELECT e.position, e.received, e.sent_by, e.content FROM entries AS e"
ABOUT = (
    f"{ENTRY} JOIN touches AS t ON t.position = e.position"
    " WHERE t.device = ? AND t.seq = ? AND t.part = ? AND t.position <= ? ORDER BY t.position"
)
PAGE = 2000
FEW = 500
"""Names in one question."""


class SqlitePast:
    """A log that is kept in a file."""

    whole = False

    def __init__(self, path: Path, *, beside_a_writer: bool) -> None:
        self._path = path
        try:
            self._raw = connect_reading(path)
            if beside_a_writer:
                self._raw.execute("BEGIN")
        except sqlite3.Error as wrong:
            raise told(wrong, path) from wrong
        self._ids: dict[str, int] = {}
        self._names: dict[int, str] = {}

    def close(self) -> None:
        self._raw.close()

    # -- records -------------------------------------------------------------------------------

    def entry(self, record: str) -> Entry | None:
        device, _, seq = record.rpartition(":")
        where = " WHERE e.device = ? AND e.seq = ?"
        found = self._entries(ENTRY + where, (self._id(device), int(seq)))
        return next(found, None)

    def about(self, thing: Thing, upto: int = LAST) -> list[Entry]:
        rows = self._all(ABOUT, (self._id(thing.device), thing.seq, thing.part, upto))
        return [entry for entry in starmap(self._entry, rows) if isinstance(entry, Entry)]

    def named(self, records: Iterable[str]) -> set[str]:
        seqs: dict[str, list[int]] = {}
        for record in records:
            device, _, seq = record.rpartition(":")
            seqs.setdefault(device, []).append(int(seq))
        return {name for device, own in seqs.items() for name in self._named(device, own)}

    def _named(self, device: str, seqs: list[int]) -> Iterator[str]:
        number = self._id(device)
        for first in range(0, len(seqs), FEW):
            some = seqs[first : first + FEW]
            marks = ("?, " * len(some))[:-2]
            sql = f"SELECT DISTINCT seq FROM touches WHERE device = ? AND part = ? AND seq IN ({marks})"  # noqa: S608
            for (seq,) in self._all(sql, (number, NAMED, *some)):
                yield f"{device}:{seq}"

    def newest(self, thing: Thing) -> Iterator[Entry]:
        values = (self._id(thing.device), thing.seq, thing.part, LAST)
        return self._entries(f"{ABOUT} DESC", values)

    def of_device(self, device: str) -> Iterator[Entry]:
        where = " WHERE e.device = ? ORDER BY e.seq DESC"
        return self._entries(ENTRY + where, (self._id(device),))

    def every(self) -> Iterator[Entry | UnreadEntry]:
        position = 0
        while rows := self._all(f"{ENTRY} WHERE e.position > ? LIMIT {PAGE}", (position,)):
            for row in rows:
                position = row[0]
                yield self._entry(*row)

    def _entries(self, sql: str, values: tuple[object, ...]) -> Iterator[Entry]:
        for row in self._each(sql, values):
            entry = self._entry(*row)
            if isinstance(entry, Entry):
                yield entry

    def _entry(
        self, position: int, received: int, sent_by: int, content: bytes
    ) -> Entry | UnreadEntry:
        try:
            record = codec.decode(content)
        except codec.Refused:
            raise TornFile(f"Entry {position} of {self._path} cannot be read.") from None
        sender = self._name(sent_by)
        if isinstance(record, Unread):
            return UnreadEntry(position=position, received=received, sent_by=sender, unread=record)
        return Entry(position=position, received=received, sent_by=sender, record=record)

    # -- lots ----------------------------------------------------------------------------------

    def lot(self, name: str) -> Lot | None:
        found = self._all(
            "SELECT l.name, l.head FROM lot_names AS n JOIN lots AS l ON l.name = n.lot"
            " WHERE n.name = ?",
            (name,),
        )
        return self._lot(*found[0]) if found else None

    def names(self) -> Iterator[str]:
        return (name for (name,) in self._all("SELECT name FROM lots", ()))

    def closed(self, since: int) -> Iterator[Lot]:
        sql = "SELECT name, head FROM lots WHERE open = 0 AND last_place >= ?"
        return (self._lot(*row) for row in self._all(sql, (since,)))

    def alike(self, key: int) -> list[str]:
        sql = "SELECT name FROM lots WHERE open = 0 AND alike = ?"
        return [name for (name,) in self._all(sql, (key,))]

    def near(self, signs: str) -> tuple[str, str]:
        before, after = self._all(
            "SELECT (SELECT max(signs) FROM lot_names WHERE signs < ?),"
            " (SELECT min(signs) FROM lot_names WHERE signs > ?)",
            (signs, signs),
        )[0]
        return before or "", after or ""

    def beginning(self, signs: str) -> list[str]:
        sql = "SELECT name FROM lot_names WHERE signs >= ? AND signs < ?"
        return [name for (name,) in self._all(sql, (signs, signs + "~"))]

    def _lot(self, name: str, head: bytes) -> Lot:
        return take_up(head, lambda: self.story(name))

    def story(self, lot: str) -> list[bytes]:
        """The story of a lot that was put by, in the parts that it was put by in."""
        sql = "SELECT story FROM story_parts WHERE name = ? ORDER BY first"
        return [story for (story,) in self._all(sql, (lot,))]

    def taken_up(self, code: str) -> Taken | None:
        """The small states and the open lots that this code put by."""
        found = self._all("SELECT thin FROM put_by WHERE code = ?", (code,))
        if not found:
            return None
        rows = self._all("SELECT name, head FROM lots WHERE open = 1", ())
        return Taken(found[0][0], [self._lot(*row) for row in rows])

    # -- the file --------------------------------------------------------------------------------

    def _each(self, sql: str, values: tuple[object, ...]) -> Iterator[tuple]:  # type: ignore[type-arg]
        try:
            yield from self._raw.execute(sql, values)
        except sqlite3.Error as wrong:
            raise told(wrong, self._path) from wrong

    def _all(self, sql: str, values: tuple[object, ...]) -> list[tuple]:  # type: ignore[type-arg]
        try:
            return self._raw.execute(sql, values).fetchall()
        except sqlite3.Error as wrong:
            raise told(wrong, self._path) from wrong

    def _id(self, device: str) -> int:
        """A device's number in the file; 0 for none, -1 for one that never wrote here."""
        if not device:
            return 0
        if device not in self._ids:
            self._learn()
        return self._ids.get(device, -1)

    def _name(self, number: int) -> str:
        if number not in self._names:
            self._learn()
        return self._names[number]

    def _learn(self) -> None:
        for number, name in self._all("SELECT id, name FROM devices", ()):
            self._ids[name] = number
            self._names[number] = name
