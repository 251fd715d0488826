"""The book: all states of a household together, kept true to the records as they come.

Nothing is stored that could be worked out: whoever holds the same set of records has the same
book, whatever the order, repeats and batches. A book may be taken up where a checkpoint left it:
then it has the open lots as they were put by, and fetches what else a record or a question wants
from the past. Questions with a date are readings, not here.
"""

import hashlib
from collections.abc import Iterable, Iterator
from datetime import tzinfo

import msgspec

from events import stamp
from events.concerns import Concern
from events.hand import Hand
from events.kept import Kept, KeptLot, alike_key
from events.kinds import LotSet, Redated, Settled, Voided
from events.lots.state import Lot, told
from events.lots.things import Thing
from events.past import InMind, Past
from events.projections.climate import Climate
from events.projections.doubt import (
    likely_doubles,
    missing_only_then,
    one_a_deed,
    same_names,
    unanswered,
    unread_records,
)
from events.projections.settings import Settings
from events.projections.usage import Used, usage
from events.projections.vessels import Vessels
from events.record import Entry, Record, UnreadEntry
from events.signs import Signs
from events.thin import SETTING, Thin, answers

TIMELESS = (*SETTING, LotSet, Voided, Redated, Settled)
"""Kinds that say how things are or were: a past day is shown as it is known now."""


class Book:
    """A household's states. `add` entries; read the rest, and leave it as it is."""

    def __init__(
        self, past: Past | None = None, thin: Thin | None = None, lots: Iterable[Lot] = ()
    ) -> None:
        self.past: Past = past if past is not None else InMind()
        self.thin = thin if thin is not None else Thin()
        self.lots: dict[str, Lot] = {lot.name: lot for lot in lots}
        """every lot to hand by its name: the open ones, those that still wait for their
        bringing-in, and such closed ones as have not been put by"""
        self.twins: dict[str, str] = {}
        """names under which another content arrived, to the digest of what was set aside"""
        self.dirty: set[str] = set()
        """lots that are otherwise than they were put by, or new, or no more"""
        self._hand = Hand(self.past, self.thin.upto)
        self._standing = self._hand.lots.standing
        self._also = {name: lot.name for lot in self.lots.values() for name in lot.names}
        self._came: dict[str, tuple[bool, int | None]] = {}
        self._kept = Kept(self.lots.values())
        self._signs = Signs(self.lots, self.past)
        self._of: Book = self  # of a past day: the book that it is taken from

    # -- entries come --------------------------------------------------------------------------

    def add(self, entries: Iterable[Entry | UnreadEntry]) -> None:
        """Take in entries, in any order and any batches; what is known already changes nothing."""
        fresh: dict[str, Entry] = {}
        unread: list[UnreadEntry] = []
        for entry in entries:
            if isinstance(entry, UnreadEntry):
                unread.append(entry)
            elif self._is_new(entry):
                fresh.setdefault(entry.record.name, entry)
        if fresh:
            self._take_in(fresh)
        for entry in unread:
            self._hear_unread(entry)

    def _take_in(self, fresh: dict[str, Entry]) -> None:
        hand, folded, thin = self._hand, self._hand.lots, self.thin
        down = self._reach(fresh)
        hand.entries.update(fresh)
        folded.add(entry.record for entry in fresh.values())
        restood, folded.restood = folded.restood, set()
        otherwise = [r for name in restood - fresh.keys() if (r := folded.records.get(name))]
        self._reach_again(down, [*(entry.record for entry in fresh.values()), *otherwise])
        for name, entry in fresh.items():
            thin.hear(name, entry.position, entry.received)
            heard = entry.record.stamp
            if heard > thin.newest and not stamp.wild(heard, entry.received):
                thin.newest = heard
        self._show()
        thin.follow(hand, [entry.record for entry in fresh.values()], otherwise)
        hand.upto = thin.upto
        if folded.standing is not self._standing:
            self._standing = folded.standing
            thin.raise_anew(hand)

    def _is_new(self, entry: Entry) -> bool:
        if isinstance(self.past, InMind):
            return self.past.add(entry)
        known = self._hand.entries.get(entry.record.name)
        if known is not None and not known.position:  # it waited here, and has its position now
            self._hand.entries[entry.record.name] = entry
            self.thin.upto = max(self.thin.upto, entry.position)
            self._hand.upto = self.thin.upto
        return known is None and (entry.position > self.thin.upto or not entry.position)

    def _hear_unread(self, entry: UnreadEntry) -> None:
        if isinstance(self.past, InMind):
            self.past.add(entry)
        thin = self.thin
        if thin.unread.setdefault(entry.unread.name, entry) is entry:
            thin.hear(entry.unread.name, entry.position, entry.received)
            self._hand.upto = thin.upto

    def _reach(self, fresh: dict[str, Entry]) -> set[str]:
        """Have in hand the lots that fresh records may change; those that hand holds down."""
        if self.past.whole:
            return set()
        hand, folded = self._hand, self._hand.lots
        touched = hand.touched(fresh, self.lots) | hand.settled_lots(fresh)
        hand.bring(touched)
        for name in folded.changed:
            if name in self.lots and name in hand.brought and name in folded.lots:
                self.lots[name] = folded.lots[name]
        folded.changed = set()
        return {lot for lot in map(folded.same, touched) if folded.hands_down(lot)}

    def _reach_again(self, down: set[str], records: list[Record]) -> None:
        """Have in hand what these records changed beyond the lots that they name."""
        if self.past.whole:
            return
        hand = self._hand
        down |= {lot for lot in hand.lots.changed if hand.lots.hands_down(lot)}
        hand.bring(hand.befallen(records, self.lots) | hand.descendants(down))

    def _show(self) -> None:
        """Show the lots that came out otherwise."""
        hand, folded = self._hand, self._hand.lots
        for name in folded.changed:
            if not self.past.whole and name not in hand.brought:
                continue
            self.dirty.add(name)
            lot = folded.lots.get(name)
            if lot is None:
                self.lots.pop(name, None)
                continue
            self.lots[name] = lot
            if len(lot.names) > 1:
                self._also.update(dict.fromkeys(lot.names, name))
            came = (lot.stands, lot.totals.get("in"))
            if not self.past.whole and self._came.get(name) != came:
                self._came[name] = came
                self._meet_alike(lot)
        folded.changed = set()
        self._signs.forget()

    def _meet_alike(self, lot: Lot) -> None:
        """Look at a lot beside closed ones that came in alike: one may be its double."""
        key = alike_key(lot)
        for name in () if key is None else self.past.alike(key):
            if self._as_put_by(name) and (closed := self.past.lot(name)) is not None:
                self.lots[name] = closed
                self.dirty.add(name)

    # -- what there is -------------------------------------------------------------------------

    @property
    def settings(self) -> Settings:
        return self.thin.settings

    @property
    def vessels(self) -> Vessels:
        return self.thin.vessels

    @property
    def climate(self) -> Climate:
        return self.thin.climate

    @property
    def unread(self) -> dict[str, UnreadEntry]:
        """Records that this program does not know how to read."""
        return self.thin.unread

    @property
    def size(self) -> int:
        """How many entries the log has."""
        return self.thin.size

    def lot(self, name: str) -> Lot | None:
        """The lot of that name, or of the lot that it is a double of."""
        found = self.lots.get(self._hand.lots.same(name)) or self.lots.get(self._also.get(name, ""))
        if found is not None or self.past.whole:
            return found
        found = self.past.lot(name)
        return found if found is not None and self._as_put_by(found.name) else None

    def _as_put_by(self, lot: str) -> bool:
        """Whether the past's state of a lot still is the lot's."""
        return lot not in self.lots and lot not in self.dirty

    def since(self, moment: int) -> Iterator[Lot]:
        """The lots to hand, and the closed ones of which anything was said at `moment` or later."""
        yield from self.lots.values()
        for lot in self.past.closed(moment):
            if self._as_put_by(lot.name):
                yield lot

    def every_lot(self) -> Iterator[Lot]:
        """Every lot there ever was: as slow as the log is long."""
        yield from self.lots.values()
        for name in self.past.names():
            if self._as_put_by(name) and (lot := self.past.lot(name)) is not None:
                yield lot

    def parents(self, lot: str) -> list[str]:
        self._hand.bring((lot,))
        return self._hand.lots.parents(lot)

    def children(self, lot: str) -> list[str]:
        self._hand.bring((lot,))
        return self._hand.lots.children(lot)

    def near(self, signs: str) -> tuple[str, str]:
        """The signs of the lots that sort just before and just after; "" where none does."""
        return self._signs.near(signs)

    def coded(self, typed: str) -> list[str]:
        """The lots that a typed code may mean. Raises NotUnderstood where it is no code."""
        return self._signs.coded(typed)

    def usage(self, until: int, zone: tzinfo) -> list[Used]:
        """How much of each food was used, week by week up to `until` (Unix ms), as a range."""
        return usage(self.every_lot(), until, zone)

    # -- records -------------------------------------------------------------------------------

    def entry(self, record: str) -> Entry | None:
        return self._hand.entry(record)

    def entries_about(self, thing: Thing) -> list[Entry]:
        """The entries about a thing (a lot, a kind of record), by position."""
        return self._hand.all_about(thing)

    def newest_about(self, thing: Thing) -> Iterator[Entry]:
        """The entries about a thing, the last first."""
        return self.past.newest(thing)

    def naming(self, record: str) -> list[Entry]:
        """The entries whose records name a record: void it, redate it, lean on it."""
        return self._hand.naming(record)

    def newest_of(self, device: str) -> Iterator[Entry]:
        """A device's own entries, the last first."""
        return self.past.of_device(device)

    def deed(self, record: Record) -> list[Record]:
        """The records of the act that a record is part of, as far as they are known, in order."""
        return self._hand.deed(record, self.thin.heard.devices[record.device].highest)

    @property
    def entries(self) -> list[Entry]:
        """Every entry that can be read, by position: as slow as the log is long."""
        return [entry for entry in self.past.every() if isinstance(entry, Entry)]

    def answers(self, order: str) -> list[Record]:
        """The bringings-in that answer an order and stand."""
        return answers(self._hand, order)

    def stands(self, record: str) -> bool:
        """Whether a record counts: it is known, and no void of it stands."""
        return self._hand.stands(record)

    def same_record(self, record: str) -> str:
        """The record that a voided double stands for, else itself."""
        return self._hand.same_record(record)

    def place(self, record: str) -> int:
        """The place in time that a record counts under, Unix ms. KeyError if it is not known."""
        return self._hand.place(record)

    def span(self, record: str) -> tuple[int, int]:
        """(earliest moment, place) of a record, redatings heeded, Unix ms."""
        times = self._hand.times(record)
        return times.earliest, times.place

    def order(self, record: Record) -> tuple[int, str, int]:
        """The order among records of one place, redatings heeded. KeyError if it is not known."""
        return self._hand.order(record)

    # -- what does not add up ------------------------------------------------------------------

    def concerns(self) -> list[Concern]:
        """What does not add up, oldest first: settled ones left out, one a deed."""
        raised = unanswered(
            self.since, (c for lot in self.lots.values() for c in lot.concerns), self.lots
        )
        raised += (
            c for name, told in self.thin.left.items() for c in told if self._as_put_by(name)
        )
        raised += likely_doubles(self.lots.values())
        raised += (concern for told in self.thin.raised.values() for concern in told)
        whole = self._of
        if whole is not self:
            raised = [c for c in raised if not missing_only_then(c, self._is_later)]
        raised += whole.thin.heard.gaps()
        raised += unread_records(whole.thin.unread)
        raised += same_names(whole.twins)
        settled = set(self.thin.settled.values())
        left = [concern for concern in one_a_deed(raised) if concern.key not in settled]
        return sorted(left, key=lambda c: (c.place, c.kind, c.rests_on, c.lot, c.store))

    def _is_later(self, record: str) -> bool:
        """Whether a record that a past day lacks is known by now."""
        return self.entry(record) is None and self._of.entry(record) is not None

    def open_lots(self) -> set[str]:
        """The lots that are not done with: food may be there, or may yet turn out to be."""
        makers = {n for c in self.concerns() if c.kind == "maybe-double" for n in c.rests_on}
        return {
            name
            for name, lot in self.lots.items()
            if lot.parcels
            or lot.identity is None or not lot.stands or lot.less_some
            or (lot.maker is not None and lot.maker.name in makers)
            or any(concern.kind == "picked-short" for concern in lot.concerns)
        }  # fmt: skip

    def to_put_by(self) -> tuple[list[KeptLot], list[str]]:
        """What is otherwise than it was put by: (lots, names of lots that are no more)."""
        is_open = self.open_lots()
        closed = () if self.past.whole else self.lots.keys() - is_open
        kept = [
            self._kept.put_by(self.lots[name], is_open=name in is_open)
            for name in sorted(self.dirty.union(closed))
            if name in self.lots
        ]
        for name in self.dirty.union(closed):
            self.thin.leave(name, None if name in is_open else self.lots.get(name))
        return kept, sorted(self.dirty - self.lots.keys())

    def was_put_by(self, kept: Iterable[KeptLot]) -> None:
        """The past has these now: the closed ones leave the book, and hand what they rest on."""
        self._kept.was_put_by(kept, self.dirty)
        self.dirty = set()
        if self.past.whole:
            return
        for lot in kept:
            if not lot.open:
                self.lots.pop(lot.name, None)
        self._signs.forget()
        current = self._hand.lots.standing is self._standing
        self._hand.let_go(self.lots)
        if current:
            self._standing = self._hand.lots.standing

    # -- other days ----------------------------------------------------------------------------

    def as_of(self, until: int) -> "Book":
        """That moment (Unix ms) as it is known now, without what happened after it."""
        if not self.past.whole:
            return self._all_in_hand().as_of(until)
        book = Book()
        book._of = self._of
        book.add(
            entry
            for entry in self.past.every()
            if isinstance(entry, Entry)
            and (isinstance(entry.record.body, TIMELESS) or self.place(entry.record.name) <= until)
        )
        return book

    def _all_in_hand(self) -> "Book":
        """The same book, folded from the whole log."""
        book = Book()
        book.twins = self.twins
        book.add([*self.past.every(), *(e for e in self._hand.entries.values() if not e.position)])
        return book

    def known_at(self, received: int) -> "Book":
        """The book as it was known then: what had been received by that moment (Unix ms)."""
        book = Book()
        book.add(entry for entry in self.past.every() if entry.received <= received)
        return book

    def state_hash(self) -> str:
        """SHA-256 over every state: two books that agree have the same."""
        said, set_up = hashlib.sha256(), self.settings
        for lot in sorted(self.every_lot(), key=lambda lot: lot.name):
            said.update(msgspec.json.encode(told(lot), order="sorted"))
        rest = (
            set_up.stores, set_up.foods, set_up.members, set_up.machines, set_up.devices,
            self.vessels, self.climate, self.concerns(), sorted(self.thin.unread),
        )  # fmt: skip
        said.update(msgspec.json.encode(msgspec.to_builtins(rest, str_keys=True), order="sorted"))
        return said.hexdigest()
