"""What goes through the ledger's door: drafts in, receipts out, and whose log it is.

Values only: nothing here knows a store or a book. Whoever says something makes a `Draft`; whoever
sent something reads a `Receipt`.
"""

from collections.abc import Mapping
from typing import Literal

import msgspec

from events import stamp
from events.kinds import Body, Stamp
from events.lots.things import things
from events.record import Record, Unread
from service.storage.store import Item


class Household(msgspec.Struct, frozen=True, kw_only=True):
    """Whose log it is, and the name of the device that this program writes as."""

    id: str
    name: str
    timezone: str
    device: str

    @classmethod
    def of(cls, meta: Mapping[str, str]) -> "Household | None":
        """As the log says it; None where it names no household."""
        if not all(field in meta for field in cls.__struct_fields__):
            return None
        return cls(**{field: meta[field] for field in cls.__struct_fields__})

    def meta(self) -> dict[str, str]:
        return {field: getattr(self, field) for field in self.__struct_fields__}


class Draft(msgspec.Struct, frozen=True, kw_only=True):
    """What somebody here says happened; the ledger gives it its name, stamp and time.

    `at` None: now, by the clock. `at` without `typed`: the text of `at` is what was typed.
    """

    body: Body
    at: str | None = None
    typed: str | None = None
    by: str | None = None
    explains: str | None = None
    source: str | None = None
    note: str | None = None


class Receipt(msgspec.Struct, frozen=True, kw_only=True):
    """What became of a record that was sent: its position, or one sentence why it has none."""

    state: Literal["new", "known", "aside", "refused"]
    name: str = ""
    position: int | None = None
    reason: str | None = None


class Taken(msgspec.Struct, frozen=True):
    """A record that can go into the log."""

    record: Record | Unread
    content: bytes
    sent_by: str

    @property
    def named(self) -> tuple[str, int]:
        """Its device, and that device's own counter."""
        record = self.record
        if isinstance(record, Record):
            return record.device, record.seq
        device, _, seq = record.name.rpartition(":")
        return device, int(seq)

    def item(self) -> Item:
        about = things(self.record) if isinstance(self.record, Record) else ()
        return Item(*self.named, self.content, self.sent_by, about)


class Pen:
    """Names and stamps for the records of one append; the ledger keeps none until it is done."""

    def __init__(self, seq: int, last: Stamp, now: int) -> None:
        self.seq = seq
        self.last = last
        self.now = now

    def name(self) -> int:
        self.seq += 1
        return self.seq

    def stamp(self) -> Stamp:
        self.last = stamp.tick(self.last, self.now)
        return self.last

    def hear(self, heard: Stamp) -> None:
        if not stamp.wild(heard, self.now):
            self.last = stamp.receive(self.last, heard, self.now)
