"""A replica's log as a book looks things up in it: the mirror's file, and behind it the outbox.

What waits is little, so that it is held in mind and read anew when it has changed; its positions
are those that `page` gives it. Rule: what is said of a past in `events.past` holds of both together.
"""

from collections.abc import Iterable, Iterator
from heapq import merge
from itertools import chain

from events import codec
from events.lots.state import Lot
from events.lots.things import Thing
from events.past import LAST, InMind
from events.record import Entry, Unread, UnreadEntry
from service.storage.outbox import READ
from service.storage.shelf import Taken
from service.storage.sqlite_past import SqlitePast

BOOKED = f"state IN ({', '.join(map(repr, READ))})"
"""The part of the outbox that counts."""

MARK = (
    "SELECT count(*), max(number), (SELECT max(position) FROM entries)"  # noqa: S608
    f" FROM outbox WHERE {BOOKED}"
)
WAITING = (
    "SELECT written, name, content FROM outbox JOIN devices ON id = sent_by"  # noqa: S608
    f" WHERE {BOOKED} ORDER BY number"
)


class ReplicaPast:
    """A log that is kept in a replica's file."""

    whole = False

    def __init__(self, past: SqlitePast) -> None:
        self._past = past
        self._mark: tuple[object, ...] = ()
        self._out = InMind()

    def _waiting(self) -> InMind:
        """What is in the outbox now."""
        mark = self._past._all(MARK, ())[0]
        if mark != self._mark:
            self._mark, self._out = mark, InMind()
            rows = self._past._all(WAITING, ())
            for position, (written, sent_by, content) in enumerate(rows, (mark[2] or 0) + 1):
                self._out.add(_entry(position, written, sent_by, content))
        return self._out

    def close(self) -> None:
        self._past.close()

    # -- records -----------------------------------------------------------------------------------

    def entry(self, record: str) -> Entry | None:
        return self._past.entry(record) or self._waiting().entry(record)

    def about(self, thing: Thing, upto: int = LAST) -> list[Entry]:
        return [*self._past.about(thing, upto), *self._waiting().about(thing, upto)]

    def named(self, records: Iterable[str]) -> set[str]:
        records = list(records)
        return self._past.named(records) | self._waiting().named(records)

    def newest(self, thing: Thing) -> Iterator[Entry]:
        return chain(self._waiting().newest(thing), self._past.newest(thing))

    def of_device(self, device: str) -> Iterator[Entry]:
        both = (past.of_device(device) for past in (self._past, self._waiting()))
        return merge(*both, key=lambda entry: -entry.record.seq)

    def every(self) -> Iterator[Entry | UnreadEntry]:
        return chain(self._past.every(), self._waiting().every())

    # -- what was put by: of the mirror alone ----------------------------------------------------------

    def lot(self, name: str) -> Lot | None:
        return self._past.lot(name)

    def names(self) -> Iterator[str]:
        return self._past.names()

    def closed(self, since: int) -> Iterator[Lot]:
        return self._past.closed(since)

    def alike(self, key: int) -> list[str]:
        return self._past.alike(key)

    def near(self, signs: str) -> tuple[str, str]:
        return self._past.near(signs)

    def beginning(self, signs: str) -> list[str]:
        return self._past.beginning(signs)

    def taken_up(self, code: str) -> Taken | None:
        return self._past.taken_up(code)


def _entry(position: int, written: int, sent_by: str, content: bytes) -> Entry | UnreadEntry:
    record = codec.decode(content)
    if isinstance(record, Unread):
        return UnreadEntry(position=position, received=written, sent_by=sent_by, unread=record)
    return Entry(position=position, received=written, sent_by=sent_by, record=record)
