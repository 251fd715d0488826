"""How long a lot still keeps, from the stores that its food has lived in and stands in now.

A parcel's path is the stores it lived in, with when; what it used up in each is taken off one whole
life, and the store where it stands says when the rest is used. By the low ends of what is printed
that is *from*, by the high ends *to*, *likely* is their middle. In the ground no life is used.
What was packed anew goes on from the food it was packed from (`packed`). Before a path is known its
first store counts; food that turned up later than its lot was made has
lived nobody knows where, and counts by where its lot stood warmest. Nothing here is about safety:
holds, thaws and frosts are others' business.
"""

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import replace

from events.book import Book
from events.keeping.curve import DAY
from events.keeping.exposure import Exposure
from events.keeping.life import CANS, Answer, Lives, NoLife, Question
from events.keeping.profile import Milli
from events.keeping.rates import WHOLE, End, Rates
from events.kinds import Received, Repacked
from events.lots.state import Lived, Lot
from events.readings.acid import Added, added
from events.readings.called import names_of
from events.readings.climate import Climates, If
from events.readings.dug import overdue, said
from events.readings.ground_ends import End as Growth
from events.readings.packed import Before, befores, of_no_age
from events.tables import Tables

GROUND = "ground"
AGELESS = "found, its age is not known"
SAMPLES = 4
"""The mean of a stay is that of so many days and one, evenly spaced."""


class Stay(NamedTuple):
    """So long in one store; `until` None: it stands there."""

    store: str
    since: int
    until: int | None
    exposure: Exposure | None
    """None: no life is used there"""


class Path:
    """Where a parcel's food lived since its keeping started, and what that used up."""

    __slots__ = ("_answer", "earliest", "late", "latest", "none", "stays")

    def __init__(
        self, stays: tuple[Stay, ...], earliest: int, latest: int, *, ageless: bool = False,
        late: Growth | None = None,
    ) -> None:  # fmt: skip
        self.stays = stays
        self.late = late
        self.none = AGELESS if ageless else "" if late is None else said(late)
        self.earliest = earliest
        self.latest = latest
        self._answer: tuple[Answer, Milli | None] | None = None

    def __eq__(self, other: object) -> bool:  # type: ignore[explicit-override]
        return isinstance(other, Path) and self._told() == other._told()

    def __hash__(self) -> int:  # type: ignore[explicit-override]
        return hash(self._told())

    def _told(self) -> tuple[object, ...]:
        return (self.earliest, self.latest, *(stay[:3] for stay in self.stays))

    def used(self, end: End, now: int) -> int:
        """Parts of a life used by a moment (Unix ms)."""
        return sum(
            exposure.used(end, start, min(now, now if until is None else until))
            for exposure, start, until in self._clipped(end)
        )

    def when(self, end: End) -> int | None:
        """When one whole life is used up; None: that is not to be said."""
        if self.none:
            return None
        begins = self.earliest if end == "low" else self.latest
        if len(self.stays) == 1:
            only = self.stays[0].exposure
            return None if only is None else only.when(end, begins, WHOLE)
        left = WHOLE
        for exposure, start, until in self._clipped(end):
            used = 0 if until is None else exposure.used(end, start, until)
            if until is None or used >= left:
                return exposure.when(end, start, left)
            left -= used
        return None

    def _clipped(self, end: End) -> Iterator[tuple[Exposure, int, int | None]]:
        """The stays in which life is used, each from when keeping had started."""
        begins = self.earliest if end == "low" else self.latest
        for number, (_, since, until, exposure) in enumerate(self.stays):
            start = begins if number == 0 else max(begins, since)
            if exposure is not None and (until is None or until > start):
                yield exposure, start, until

    def answer(self) -> tuple[Answer, Milli | None]:
        """What is published for where it stands, and the mean temperature there, None: not known.

        The mean is that of a stay from when it came there until its *from*.
        """
        if self._answer is None:
            self._answer = self._asked()
        return self._answer

    def _asked(self) -> tuple[Answer, Milli | None]:
        last = self.stays[-1]
        if last.exposure is None:
            return NoLife(reason="in the ground"), None
        if self.none:
            return NoLife(reason=self.none), None
        milli, curve = None, last.exposure.curve
        if curve.known:
            first = max(last.since, self.earliest) // DAY
            ends = self.when("low")
            length = 0 if ends is None else max(0, ends // DAY - first)
            days = (curve.on(first + length * i // SAMPLES) for i in range(SAMPLES + 1))
            found = [milli for milli in days if milli is not None]
            milli = round(sum(found) / len(found)) if found else None
        return last.exposure.rates.at(milli), milli


class Kept:
    """One food in one form: its exposures by store, closed and opened."""

    def __init__(self, keeping: "Keeping", lot: Lot, acid: Added) -> None:
        self.keeping = keeping
        self.question = replace(
            plainly(keeping.book, lot),
            acid=acid,
            source=keeping.book.settings.foods.get(lot.food, {}).get("source", ""),
        )
        self.closed: dict[str, Exposure | None] = {}
        self.opened: dict[str, Exposure | None] = {}

    def exposure(self, store: str, *, opened: bool) -> Exposure | None:
        """How it uses its life in a store; None: in the ground it uses none."""
        stores = self.opened if opened else self.closed
        try:
            return stores[store]
        except KeyError:
            found = stores[store] = self.keeping.asked(self.question, store, opened=opened)
            return found


class Keeping:
    """A household's lives, climates and exposures, each made once and kept."""

    def __init__(self, book: Book, tables: Tables, supposed: If | None = None) -> None:
        self.book = book
        self.tables = tables
        self.lives = Lives(tables)
        self.climates = Climates(book.settings, book.climate, supposed)
        self._rates: dict[Question, Rates] = {}
        self._exposures: dict[tuple[int, Question], Exposure] = {}
        self._kept: dict[tuple[object, ...], Kept] = {}
        self._pasts: dict[str, Past | None] = {}
        self._overdue: dict[tuple[object, ...], Growth | None] = {}

    def supposing(self, supposed: If) -> "Keeping":
        """The same household with changed facts; what does not hang on them is not made again."""
        other = Keeping(self.book, self.tables, supposed)
        other.lives, other._rates = self.lives, self._rates
        return other

    def kept(self, lot: Lot) -> Kept:
        """A lot's food in its form."""
        acid = added(lot)
        key = (lot.food, lot.form, lot.variety, acid, bought(lot), vessel(lot))
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = Kept(self, lot, acid)
        return found

    def question(self, lot: Lot, store: str, *, opened: bool) -> Question:
        """What is asked of the tables for a lot in a store."""
        kind = self.book.settings.kind_of(store)
        return replace(self.kept(lot).question, kind=kind, opened=opened)

    def asked(self, of: Question, store: str, *, opened: bool) -> Exposure | None:
        """The exposure of a food in a store, shared by all stores of one kind and climate."""
        kind = self.book.settings.kind_of(store)
        if kind == GROUND:
            return None
        question = replace(of, kind=kind, opened=opened)
        rates = self._rates.get(question)
        if rates is None:
            rates = self._rates[question] = Rates(self.lives, question)
        curve = self.climates.curve(store)
        key = (id(curve), question)
        found = self._exposures.get(key)
        if found is None:
            found = self._exposures[key] = Exposure(curve, rates)
        return found

    def past(self, lot: Lot) -> "Past | None":
        """How a lot's food lived before it was packed anew; None: it was not."""
        if lot.maker is None or not isinstance(lot.maker.body, Repacked):
            return None
        if lot.name not in self._pasts:
            kept = self.kept(lot)
            found = [_past(kept, one) for one in befores(self.book, lot)]
            self._pasts[lot.name] = max(found, key=_age, default=None)
        return self._pasts[lot.name]

    def path(
        self, kept: Kept, lot: Lot, lived: Lived, start: tuple[int, int], *, opened: bool
    ) -> Path:
        """A parcel's path from when its keeping started (earliest, latest)."""
        here = kept.exposure(lived.store, opened=opened)
        last = Stay(lived.store, lived.since, None, here)
        known = lived.since <= max(start[1], lot.made_place) or opened
        past = None if opened else self.past(lot)
        if lived.before is None and known and past is None:
            return Path((last,), *start, ageless=not opened and of_no_age(self.book, lot))
        stays = [last]
        link: Lived | None = lived.before
        until = lived.since
        while link is not None and until > start[0]:
            there = kept.exposure(link.store, opened=opened)
            if there is not None and not there.published:
                there = here
            stays.append(Stay(link.store, link.since, until, there))
            until, link = link.since, link.before
        stays.reverse()
        if link is None and until > max(start[1], lot.made_place) and not opened:
            stays.insert(0, _nowhere(kept, lot, start[0], stays[0]))
        elif past is not None:
            stays[:0] = [
                stay._replace(exposure=here)
                if stay.exposure is not None and not stay.exposure.published
                else stay
                for stay in past.stays
            ]
        began = self._dug(lived, start)
        ageless = not opened and began == start and of_no_age(self.book, lot)
        late = None if opened else self._late(kept, stays) or (past.late if past else None)
        return Path(tuple(stays), *began, ageless=ageless, late=late)

    def _late(self, kept: Kept, stays: list[Stay]) -> Growth | None:
        """What had come when it was dug last, where it was dug too late."""
        bed = next((stay for stay in reversed(stays[:-1]) if stay.exposure is None), None)
        if bed is None or bed.until is None:
            return None
        return self.overdue(kept.question.names, bed.store, bed.since, bed.until)

    def overdue(
        self, names: tuple[str, ...], bed: str, since: int, dug: int
    ) -> Growth | None:  # fmt: skip
        """The same of food by its names that stood in a bed between two moments."""
        key = (names, bed, since // DAY, dug // DAY)
        if key not in self._overdue:
            self._overdue[key] = overdue(self.book, self.tables, names, bed, since, dug)
        return self._overdue[key]

    def _dug(self, lived: Lived, start: tuple[int, int]) -> tuple[int, int]:
        """Keeping starts when food was dug."""
        link: Lived | None = lived.before
        until = lived.since
        while link is not None:
            if self.book.settings.kind_of(link.store) == GROUND:
                return max(start[0], until), max(start[1], until)
            until, link = link.since, link.before
        return start


class Past(NamedTuple):
    """How food lived before it was packed anew: of all ways the one that used most of its life."""

    lot: str
    """whose age it has"""
    start: tuple[int, int]
    offset: int | None
    stays: tuple[Stay, ...]
    late: Growth | None = None
    """what had come when it was dug, where that was too late"""


def _past(kept: Kept, before: Before) -> Past:
    start, offset = before.start, before.offset
    stays: list[Stay] = []
    late = None
    for stood in before.stays:
        exposure = kept.exposure(stood.store, opened=False)
        if exposure is None:  # in the ground: keeping starts when it was dug
            start, offset, stays = (
                (max(start[0], stood.until), max(start[1], stood.until)),
                None,
                [],
            )
            late = kept.keeping.overdue(kept.question.names, stood.store, stood.since, stood.until)
        else:
            stays.append(Stay(stood.store, stood.since, stood.until, exposure))
    return Past(before.lot, start, offset, tuple(stays), late)


def _age(past: Past) -> tuple[int, int, int, str]:
    """What it had used of its life, then how old it is."""
    until = past.stays[-1].until if past.stays else None
    used = 0 if until is None else Path(past.stays, *past.start).used("low", until)
    return used, -past.start[1], -past.start[0], past.lot


def _nowhere(kept: Kept, lot: Lot, start: int, first: Stay) -> Stay:
    """Food that turned up: where its lot stood warmest, until it did."""
    stores = {first.store}
    for parcel in lot.parcels:
        link: Lived | None = parcel.lived
        while link is not None:
            stores.add(link.store)
            link = link.before
    found = [
        Stay(store, start, first.since, kept.exposure(store, opened=False))
        for store in sorted(stores)
    ]
    return max(found, key=lambda stay: _used(stay, start))


def _used(stay: Stay, start: int) -> int:
    if stay.exposure is None or stay.until is None:
        return 0
    return stay.exposure.used("low", start, stay.until)


def plainly(book: Book, lot: Lot) -> Question:
    """What is asked of the tables for a lot, wherever it stands."""
    return Question(
        names=names_of(book, lot),
        form=lot.form,
        variety=lot.variety,
        bought=bought(lot),
        vessel=vessel(lot),
    )


def vessel(lot: Lot) -> str:
    """What a lot's food is packed in, "" where it is loose."""
    package = lot.identity.package if lot.identity else None
    return lot.unit if package is None else package.vessel


def bought(lot: Lot) -> bool:
    """From a shop: so it was said, or a maker's date is on it, or nothing was said of a tin."""
    body = lot.maker.body if lot.maker else None
    if not isinstance(body, Received):
        return False
    if body.origin == "bought" or vessel(lot) not in CANS:
        return body.origin == "bought"
    if body.origin == "found" and vessel(lot) == "tin":
        return True  # no household closes a tin; a can may be somebody's jar
    return body.origin is None or bool(lot.facts.get("printed", body.printed))
