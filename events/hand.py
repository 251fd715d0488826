"""What of a household's log is in hand: the records that are folded, and how others are fetched.

A lot's state is a function of the records that name it, of those that void, redate or double them,
of the household's incidents and stores gone through, and of the lots that it was made from. So a
lot that was put by is in hand again once all of those are, and then goes on as if it had never
been away. Rule: a lot is told only when all that it rests on is here (`brought`); more than that
does no harm, since the order of arrival does not matter.
"""

from collections.abc import Collection, Iterable, Mapping
from itertools import islice

from events.kinds import Incident, Settled, StoreCounted, Voided
from events.lots.household import Lots
from events.lots.known import worth_noting
from events.lots.places import related
from events.lots.state import Lot
from events.lots.steps import Times, befell, maker_name, parts, times_of
from events.lots.things import (
    HOUSEHOLD,
    Thing,
    amends,
    leans_on,
    lot_thing,
    lots_of,
    makings,
    named,
    of_source,
    on_its_own,
)
from events.past import Past
from events.record import Entry, Record

IN_HAND = 250_000
"""Records in hand past which all are let go of, open lots or not."""


class Hand:
    """Records in hand and the lots folded from them."""

    def __init__(self, past: Past, upto: int) -> None:
        self.past = past
        self.upto = upto
        """what the past has beyond this position is not known yet"""
        self.lots = Lots()
        self.entries: dict[str, Entry] = {}
        self.brought: set[str] = set()
        """lots of which everything is in hand, by the names that were asked for"""
        self._befallen = False
        self._looked = 0

    # -- what is known of a record -------------------------------------------------------------

    def entry(self, record: str) -> Entry | None:
        """A record's entry, from hand or from the past."""
        found = self.entries.get(record)
        if found is not None or self.past.whole:
            return found
        found = self.past.entry(record)
        return found if found is not None and found.position <= self.upto else None

    def all_about(self, thing: Thing) -> list[Entry]:
        """The entries that are about a thing, by position."""
        if self.past.whole:
            return self.past.about(thing)
        return self.past.about(thing, self.upto)

    def naming(self, record: str) -> list[Entry]:
        """The entries whose records name a record: void it, lean on it, settle what rests on it."""
        return self.all_about(named(record))

    def deed(self, record: Record, highest: int) -> list[Record]:
        """The records of one act, in order; `highest`: the last counter heard of its device."""
        found = []
        for seq in range(record.deed or record.seq, highest + 1):
            entry = self.entry(f"{record.device}:{seq}")
            if entry is not None and entry.record.deed_name != record.deed_name:
                break
            if entry is not None:
                found.append(entry.record)
        return found

    def stands(self, record: str) -> bool:
        self.know((record,))
        return self.lots.stands(record)

    def same_record(self, record: str) -> str:
        """The record that a voided double stands for, else itself."""
        self.know((record,))
        return self.lots.standing.names.get(record, record)

    def alike(self, record: str) -> list[str]:
        """A record and those that are voided as doubles of it."""
        self.know((record,))
        names = self.lots.standing.names
        return [record, *(name for name, other in names.items() if other == record)]

    def times(self, record: str) -> Times:
        """When a record counts, redatings heeded. KeyError if it is not known."""
        self.know((record,))
        return self.lots.times(record)

    def place(self, record: str) -> int:
        return self.times(record).place

    def order(self, record: Record) -> tuple[int, str, int]:
        """The order among records of one place, redatings heeded. KeyError if it is not known."""
        return (self.times(record.name).stamp, record.device, record.seq)

    # -- bringing in -----------------------------------------------------------------------------

    def know(self, records: Iterable[str]) -> None:
        """Have these records in hand, with what voids, redates and doubles them."""
        if self.past.whole:
            return
        missing = [name for name in records if name not in self.lots.records]
        if missing:
            self._take(self._tangle(missing).values())

    def bring(self, lots: Iterable[str]) -> None:
        """Have these lots in hand with all that they rest on."""
        if self.past.whole:
            return
        found: dict[str, Entry] = {}
        waiting = [lot for lot in lots if lot not in self.brought]
        if waiting and not self._befallen:
            self._befallen = True
            found.update(self._tangle(e.record.name for e in self.all_about(HOUSEHOLD)))
        while waiting:
            self.brought.update(waiting)
            about = (self.all_about(lot_thing(lot)) for lot in waiting)
            mine = {entry.record.name: entry for entries in about for entry in entries}
            names = {*mine, *(maker_name(lot)[0] for lot in waiting)}
            for entry in mine.values():
                names.update(leans_on(entry.record))
            tangle = self._tangle(names, mine, names - self.past.named(names))
            found.update(tangle)
            waiting = list(_rests_on(waiting, tangle) - self.brought)
        self._take(found.values())

    def _tangle(
        self,
        names: Iterable[str],
        to_hand: Mapping[str, Entry] | None = None,
        unnamed: Collection[str] = (),
    ) -> dict[str, Entry]:
        """The records of these names and all that hang together with them by voids, redatings and
        sources; a name that is not known hangs together with those that name it all the same.

        `unnamed`: which of them nobody names.
        """
        found: dict[str, Entry] = {}
        waiting = list(names)
        seen: set[str] = set()
        while waiting:
            name = waiting.pop()
            if name in seen:
                continue
            seen.add(name)
            if name not in unnamed:
                waiting += [e.record.name for e in self.naming(name) if name in amends(e.record)]
            entry = (to_hand or {}).get(name) or self.entry(name)
            if entry is None:
                continue
            found[name] = entry
            waiting += amends(entry.record)
            if entry.record.source is not None:
                waiting += [e.record.name for e in self.all_about(of_source(entry.record.source))]
        return found

    def _take(self, entries: Iterable[Entry]) -> None:
        fresh = [entry for entry in entries if entry.record.name not in self.lots.records]
        self.entries.update((entry.record.name, entry) for entry in fresh)
        self.lots.add(entry.record for entry in fresh)

    # -- letting go ------------------------------------------------------------------------------

    def let_go(self, kept: Collection[str]) -> None:
        """Let go of all that no kept lot rests on, once the past has it; of all, where it is much."""
        known = self.lots
        fresh = islice(self.entries, self._looked, None)
        roots = [name for name in fresh if not parts(self.entries[name].record)]
        for lot in known.lots.keys() - kept:
            roots += (step.name for step in known.steps_said(lot))
        staying: set[str] = set()
        going: set[str] = set()
        amenders = known.amenders()
        for root in roots:
            if root in staying or root in going:
                continue
            together, stays = self._together(root, kept, amenders)
            (staying if stays else going).update(together)
        for name in going:
            self.entries.pop(name, None)
        self.brought -= known.let_go(going)
        if len(self.entries) > IN_HAND:
            self.lots, self.entries, self.brought, self._befallen = Lots(), {}, set(), False
        self._looked = len(self.entries)

    def _together(
        self, root: str, kept: Collection[str], amenders: Mapping[str, list[str]]
    ) -> tuple[set[str], bool]:
        """The records in hand that hang together with one: by lots, amendings, sources, leanings.

        And whether they stay, for a kept lot's or the household's sake.
        """
        known = self.lots
        seen: set[str] = set()
        met: set[str] = set()
        waiting = [root]
        while waiting:
            name = waiting.pop()
            if name in seen:
                continue
            seen.add(name)
            lots = list(known.mentioning(name))
            waiting += amenders.get(name, ())
            record = known.records.get(name)
            if record is not None:
                if isinstance(record.body, (Incident, StoreCounted)):
                    return seen, True
                if worth_noting(record):
                    waiting += (*amends(record), *leans_on(record))
                    waiting += known.of_source(record.source)
                lots += (lot for lot, _, _ in parts(record))
            for lot in lots:
                if lot in kept:
                    return seen, True
                if lot not in met:
                    met.add(lot)
                    waiting += (step.name for step in known.steps_said(lot))
        return seen, False

    # -- what a record may change --------------------------------------------------------------

    def touched(self, fresh: Mapping[str, Entry], shown: Mapping[str, Lot]) -> set[str]:
        """The lots whose state records that just came may change. `shown`: the lots to hand."""
        lots: set[str] = set()
        named = self.past.named(fresh)
        tangled = []
        for name, entry in fresh.items():
            if name not in named and on_its_own(entry.record):
                lots.update(lot for lot, _, _ in parts(entry.record))
            else:
                tangled.append(name)
        tangle = self._tangle(tangled, fresh, fresh.keys() - named)
        self._take(entry for name, entry in tangle.items() if name not in fresh)
        self.know(name for tied in tangled for name in leans_on(fresh[tied].record))
        told = {*tangle, *(name for e in tangle.values() for name in amends(e.record))}
        for name in told:
            if name in tangle:
                lots |= lots_of(tangle[name].record)
            for other in self.naming(name) if name in named or name not in fresh else ():
                lots |= lots_of(other.record)
        return lots | self.befallen((entry.record for entry in tangle.values()), shown)

    def settled_lots(self, fresh: Mapping[str, Entry]) -> set[str]:
        """The lots that a settling is about, or the one that a void takes back."""
        found: set[str] = set()
        for entry in fresh.values():
            body = entry.record.body
            if isinstance(body, Voided) and (voided := self.entry(body.record)) is not None:
                body = voided.record.body
            if not isinstance(body, Settled):
                continue
            for name in body.rests_on:
                about = fresh.get(name) or self.entry(name)
                found |= lots_of(about.record) if about is not None else set()
        return found

    def befallen(self, records: Iterable[Record], shown: Mapping[str, Lot]) -> set[str]:
        """The lots that incidents and stores gone through among the records may be about.

        Those with food there now, and those of which anything was said since: what nobody has
        touched since stands where it stood.
        """
        lots: set[str] = set()
        for record in records:
            body = record.body
            if not isinstance(body, (Incident, StoreCounted)):
                continue
            start, end = self._bounds(record)
            for lot in (*shown.values(), *self.past.closed(start)):
                if lot.made_earliest <= end and (
                    lot.last_place >= start
                    or any(related(p.store, body.store) for p in lot.parcels)
                ):
                    lots.add(lot.name)
        return lots

    def _bounds(self, record: Record) -> tuple[int, int]:
        """The widest that an incident or a going through may reach, as written and as redated."""
        times = [times_of(record, record.at, record.offset, record.stamp, False)]
        if record.name in self.lots.records:
            times.append(self.lots.times(record.name))
        if isinstance(record.body, Incident):
            both = [befell(record, record.body, when) for when in times]
            return min(one.start for one in both), max(one.end for one in both)
        return min(when.earliest for when in times), max(when.place for when in times)

    def descendants(self, lots: Iterable[str]) -> set[str]:
        """The lots made from these, and from those in turn, as the records name them."""
        found: set[str] = set()
        waiting = [name for lot in lots for name in self.lots.names_of(lot)]
        while waiting:
            lot = waiting.pop()
            for entry in self.all_about(lot_thing(lot)):
                if any(draw.lot == lot for draw in getattr(entry.record.body, "draws", ())):
                    new = set(makings(entry.record)) - found
                    found |= new
                    waiting += new
        return found


def _rests_on(lots: Iterable[str], tangle: Mapping[str, Entry]) -> set[str]:
    """The lots that these were made from, and those that their names may stand for."""
    found: set[str] = set()
    for lot in lots:
        maker = tangle.get(maker_name(lot)[0])
        if maker is not None:
            found.update(draw.lot for draw in getattr(maker.record.body, "draws", ()))
    for entry in tangle.values():
        body = entry.record.body
        if entry.record.source is not None:
            found.update(makings(entry.record))
        if isinstance(body, Voided) and body.same_as is not None:
            for name in (body.record, body.same_as):
                if name in tangle:
                    found.update(makings(tangle[name].record))
    return found
