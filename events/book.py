"""The book: all states of a household together, kept true to the records as they come.

Nothing is stored that could be worked out: whoever holds the same set of records has the same
book, whatever the order, repeats and batches. Questions with a date are readings, not here.
"""

import hashlib
from collections.abc import Iterable
from datetime import tzinfo

import msgspec

from events.concerns import Concern
from events.kinds import (
    DeviceSet,
    FoodSet,
    LotSet,
    MachineSet,
    Measured,
    MemberSet,
    Ran,
    Redated,
    Settled,
    StoreSet,
    VesselsChanged,
    Voided,
)
from events.lots.household import Lots
from events.lots.standing import EMPTY
from events.lots.state import Lived, Lot
from events.projections.climate import Climate
from events.projections.doubt import (
    household_concerns,
    log_concerns,
    missing_only_then,
    one_a_deed,
    unanswered,
)
from events.projections.settings import Settings
from events.projections.usage import Used, usage
from events.projections.vessels import Vessels
from events.record import Entry, Record, UnreadEntry

SETTING = (StoreSet, FoodSet, MemberSet, MachineSet, DeviceSet)
TIMELESS = (*SETTING, LotSet, Voided, Redated, Settled)
"""Kinds that say how things are or were: a past day is shown as it is known now."""


class Book:
    """A household's states. `add` entries; read the rest, and leave it as it is."""

    def __init__(self) -> None:
        self.log: dict[str, Entry] = {}
        self.unread: dict[str, UnreadEntry] = {}
        self.twins: dict[str, str] = {}
        """names under which another content arrived, to the digest of what was set aside"""
        self.settings = Settings()
        self.vessels = Vessels()
        self.climate = Climate()
        self._lots = Lots()
        self._standing = EMPTY
        self._whole: Book = self  # of a past day: the book that it is taken from

    # -- entries come --------------------------------------------------------------------------

    def add(self, entries: Iterable[Entry | UnreadEntry]) -> None:
        """Take in entries, in any order and any batches; what is known already changes nothing."""
        fresh: list[Record] = []
        for entry in entries:
            if isinstance(entry, UnreadEntry):
                self.unread.setdefault(entry.unread.name, entry)
                continue
            name = entry.record.name
            if name not in self.log:
                self.log[name] = entry
                fresh.append(entry.record)
        self._lots.add(fresh)
        if self._lots.standing is not self._standing:
            self._standing = self._lots.standing
            self.settings, self.vessels, self.climate = Settings(), Vessels(), Climate()
            fresh = list(self._lots.records.values())
        for record in fresh:
            self._project(record)

    def _project(self, record: Record) -> None:
        body = record.body
        if isinstance(body, SETTING):
            if self.stands(record.name):
                self.settings.fold(record, self.order(record))
        elif isinstance(body, VesselsChanged):
            if self.stands(record.name):
                self.vessels.fold(record, self.place(record.name), self.order(record))
        elif isinstance(body, Measured | Ran) and self.stands(record.name):
            self.climate.fold(record, self.place(record.name), self.order(record))

    def order(self, record: Record) -> tuple[int, str, int]:
        """The order among records of one place, redatings heeded. KeyError if it is not known."""
        return (self._lots.times(record.name).stamp, record.device, record.seq)

    # -- what there is -------------------------------------------------------------------------

    @property
    def lots(self) -> dict[str, Lot]:
        """Every lot by its name, also those that still wait for their bringing-in."""
        return self._lots.lots

    def lot(self, name: str) -> Lot | None:
        """The lot of that name, or of the lot that it is a double of."""
        return self._lots.lots.get(self._lots.same(name))

    def parents(self, lot: str) -> list[str]:
        return self._lots.parents(lot)

    def children(self, lot: str) -> list[str]:
        return self._lots.children(lot)

    @property
    def entries(self) -> list[Entry]:
        """The entries by position."""
        return sorted(self.log.values(), key=lambda entry: entry.position)

    def entry(self, record: str) -> Entry | None:
        return self.log.get(record)

    def stands(self, record: str) -> bool:
        """Whether a record counts: it is known, and no void of it stands."""
        return self._lots.stands(record)

    def same_record(self, record: str) -> str:
        """The record that a voided double stands for, else itself."""
        return self._lots.standing.names.get(record, record)

    def place(self, record: str) -> int:
        """The place in time that a record counts under, Unix ms. KeyError if it is not known."""
        return self._lots.times(record).place

    def span(self, record: str) -> tuple[int, int]:
        """(earliest moment, place) of a record, redatings heeded, Unix ms."""
        times = self._lots.times(record)
        return times.earliest, times.place

    def usage(self, until: int, zone: tzinfo) -> list[Used]:
        """How much of each food was used, week by week up to `until` (Unix ms), as a range."""
        return usage(self.lots.values(), until, zone)

    # -- what does not add up ------------------------------------------------------------------

    def concerns(self) -> list[Concern]:
        """What does not add up, oldest first: settled ones left out, one a deed."""
        lots = self.lots
        raised = unanswered(lots, (c for lot in lots.values() for c in lot.concerns))
        raised += household_concerns(self._lots)
        whole = self._whole
        if whole is not self:
            later = whole.log.keys() - self.log.keys()
            raised = [c for c in raised if not missing_only_then(c, later)]
        raised += log_concerns(whole._lots, whole.unread, whole.twins)
        settled = {
            (record.body.concern, tuple(sorted(set(record.body.rests_on))))
            for record in self._lots.records.values()
            if isinstance(record.body, Settled) and self.stands(record.name)
        }
        left = [concern for concern in one_a_deed(raised) if concern.key not in settled]
        return sorted(left, key=lambda c: (c.place, c.kind, c.rests_on, c.lot, c.store))

    # -- other days ----------------------------------------------------------------------------

    def as_of(self, until: int) -> "Book":
        """That moment (Unix ms) as it is known now, without what happened after it."""
        book = Book()
        book._whole = self._whole
        book.add(
            entry
            for name, entry in self.log.items()
            if isinstance(entry.record.body, TIMELESS) or self.place(name) <= until
        )
        return book

    def known_at(self, received: int) -> "Book":
        """The book as it was known then: what had been received by that moment (Unix ms)."""
        book = Book()
        book.add(entry for entry in self.log.values() if entry.received <= received)
        book.add(entry for entry in self.unread.values() if entry.received <= received)
        return book

    def state_hash(self) -> str:
        """SHA-256 over every state: two books that agree have the same."""
        lots = [self.lots[name] for name in sorted(self.lots)]
        state = (
            [_told(lot) for lot in lots],
            self.settings.stores, self.settings.foods, self.settings.members,
            self.settings.machines, self.settings.devices,
            self.vessels, self.climate, self.concerns(), sorted(self.unread),
        )  # fmt: skip
        told = msgspec.json.encode(msgspec.to_builtins(state, str_keys=True), order="sorted")
        return hashlib.sha256(told).hexdigest()


def _told(lot: Lot) -> object:
    """A lot's state with sets in order and records by name."""
    return (
        lot.name, lot.identity, lot.stands, lot.facts, sorted(lot.names), lot.less_some,
        lot.made_place, lot.last_seen,
        sorted((p.store, p.n, p.low, p.high, p.stood, p.order, p.opened or 0, p.opened is None,
                sorted(p.holds), sorted(p.asides), p.doubt, _path(p.lived)) for p in lot.parcels),
        [(line.record.name, line.place, line.before, line.after,
          [(g.term, g.n, g.low, g.high, g.store, g.to, g.turned_up, g.picked, g.part,
            sorted(g.holds), sorted(g.asides), g.opened) for g in line.postings])
         for line in lot.lines],
        lot.totals,
    )  # fmt: skip


def _path(lived: Lived | None) -> list[tuple[str, int]]:
    path = []
    while lived is not None:
        path.append((lived.store, lived.since))
        lived = lived.before
    return path
