"""Whether a bed can be dug on a day: how warm its soil is, when it is frozen, when it is closed.

What stands in ground that cannot be dug is there and is not food now. What stands in a bed, and by
when it has to be out, is not here (`ground`, `ground_late`).
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta, tzinfo
from typing import Literal, TypeAlias

from msgspec import Struct

from events.book import Book
from events.lots.places import related
from events.quantity import NotUnderstood
from events.readings.ground_course import Course, Stretch, course, frozen
from events.readings.ground_shut import Shut
from events.readings.soils import Said, closed_on, understood
from events.tables.beds import Beds

Reach: TypeAlias = Literal["yes", "perhaps", "no", "unknown"]

SEEN = 300
"""Days within which a thaw is in sight."""


class State(Struct, frozen=True, kw_only=True):
    """A bed from a day on."""

    soil: Said | None
    unread: str
    """a fact of the bed that is not understood, in a sentence"""
    read: tuple[tuple[date, float], ...]
    """what was read there up to today, oldest first"""
    on: Course | None
    closed: tuple[Stretch, ...]
    """when it cannot be dug: frozen, or by the household's own word, in order"""

    def reach(self, today: date) -> Reach:
        """Whether it can be dug that day."""
        now = [s for s in self.closed if s.first <= today <= s.last]
        if any(s.sure for s in now):
            return "no"
        if now:
            return "perhaps"
        return "yes" if self.on is not None else "unknown"


def state(
    book: Book, known: Beds, store: str, first: date, today: date, days: int, zone: tzinfo
) -> State:
    """A bed as it was and will be, so many days from `first` on."""
    try:
        soil, unread = understood(lambda fact: book.settings.fact_of(store, fact), known), ""
    except NotUnderstood as error:
        soil, unread = None, str(error)
    read = _read(book, store, today, zone)
    on = None if soil is None else course(soil, read, first, days)
    said, wrong = _closed(book, store, today)
    ahead = first + timedelta(days=days)
    closed = (*(s for s in said if s.first < ahead), *(frozen(on) if on else ()))
    return State(soil=soil, unread=unread or wrong, read=tuple(read), on=on,
                 closed=tuple(sorted(closed, key=lambda s: s.first)))  # fmt: skip


def shut_of(closed: Sequence[Stretch], reach: Reach, today: date) -> Shut | None:
    """Why a bed cannot be dug now, surely or perhaps; None: it can be, as far as is known."""
    if reach not in ("no", "perhaps"):
        return None
    sure = reach == "no"
    now = [s for s in closed if s.sure is sure and s.first <= today <= s.last]
    surely = _last([s for s in closed if s.sure], today)
    perhaps = _last(closed, surely)
    in_sight = (perhaps - today).days < SEEN
    return Shut(sure, own=all(s.own for s in now), until=(surely, perhaps) if in_sight else None)


def _last(closed: Iterable[Stretch], day: date) -> date:
    """The last day of the stretches that follow each other from a day on."""
    for one in sorted(closed, key=lambda s: s.first):
        if one.first <= day + timedelta(days=1) and one.last > day:
            day = one.last
    return day


def _read(book: Book, store: str, today: date, zone: tzinfo) -> list[tuple[date, float]]:
    """What was read in the bed, in a part of it or in the bed around it, up to today."""
    found = []
    for place, readings in book.climate.readings.items():
        if related(place, store) and book.settings.kind_of(place) == "ground":
            found += [(local_day(one.place, zone), one.celsius_milli / 1000) for one in readings
                      if one.celsius_milli is not None]  # fmt: skip
    return sorted(one for one in found if one[0] <= today)


def local_day(ms: int, zone: tzinfo) -> date:
    """The day there at a moment (Unix milliseconds)."""
    return datetime.fromtimestamp(ms // 1000, zone).date()


def _closed(book: Book, store: str, today: date) -> tuple[tuple[Stretch, ...], str]:
    """The stretches in which the household itself says that a bed cannot be dug, year by year."""
    first, last = (book.settings.fact_of(store, f"closed_{end}") for end in ("from", "to"))
    if not first or not last:
        return (), ""
    found = []
    try:
        for year in range(today.year - 2, today.year + 2):
            start, end = closed_on(first, year)[0], closed_on(last, year)[1]
            if end < start:
                end = closed_on(last, year + 1)[1]
            found.append(Stretch(start, end, sure=True, own=True))
    except NotUnderstood as error:
        return (), str(error)
    return tuple(dict.fromkeys(found)), ""
