"""Food that stands there and nobody uses: none of it eaten or given for a year.

Who counts it, looks at it or carries it elsewhere does not use it; a count that misses some says that
somebody did. A year is our own rule, no source read. What to do about it is for people: use it, give
it, or make no more. What is held, set aside, in doubt, still in the ground or somebody else's is
left out.
"""

from msgspec import Struct

from events.book import Book
from events.edtf import date_of
from events.lots.state import Lot, Parcel
from events.readings.finding import Foods
from events.readings.lots import Measure, measure
from events.readings.rows import owner_of

YEAR = 365 * 86_400_000
"""Milliseconds after which food of which nothing was used is told of."""

USED = frozenset({"consumed", "given", "planted", "drawn", "opened"})


class Untouched(Struct, frozen=True, kw_only=True):
    """A food in one unit, of which nothing was used since a moment (Unix ms)."""

    food: str
    amount: Measure
    lots: tuple[str, ...]
    """their names, oldest first"""
    stores: tuple[str, ...]
    since: int
    """when some was used last, else when the oldest came in"""
    since_on: str
    """that day, by the calendar where it was written down"""
    seen_on: str
    """the day on which somebody last saw some of it"""


def untouched(book: Book, now: int) -> list[Untouched]:
    """The foods that nobody has used for a year before `now` (Unix ms), longest first."""
    foods = Foods(book)
    start = now - YEAR
    standing: dict[tuple[str, str], list[tuple[Lot, list[Parcel]]]] = {}
    used: dict[str, tuple[int, str]] = {}
    for lot in book.since(start):
        if not lot.food:
            continue
        food = foods.canonical(lot.food)
        used[food] = max(used.get(food, (0, "")), _used(lot))
        there = [] if owner_of(lot) else [p for p in lot.parcels if _offered(book, p)]
        if there:
            standing.setdefault((food, lot.unit), []).append((lot, there))
    found = [
        _told(food, unit, sorted(lots, key=lambda one: one[0].made_place), used[food])
        for (food, unit), lots in standing.items()
        if used[food][0] <= start and min(lot.made_place for lot, _ in lots) <= start
    ]
    return sorted(found, key=lambda one: (one.since, one.food, one.amount.unit))


def _offered(book: Book, parcel: Parcel) -> bool:
    free = not (parcel.holds or parcel.asides or parcel.doubt)
    return parcel.high > 0 and free and book.settings.kind_of(parcel.store) != "ground"


def _used(lot: Lot) -> tuple[int, str]:
    """When some of a lot was last used, as far as is known, and the day; nought: never."""
    for line in reversed(lot.lines):
        if any(p.term in USED or (p.term == "missing" and p.n > 0) for p in line.postings):
            return line.place, _day(lot, line.place)
    return 0, ""


def _day(lot: Lot, place: int) -> str:
    """The day of a moment in a lot's story: a date that was said stays that date."""
    offsets = (line.record.offset for line in lot.lines if line.place == place)
    return date_of(place, next(offsets, lot.maker.offset if lot.maker else 0))


def _told(
    food: str, unit: str, lots: list[tuple[Lot, list[Parcel]]], used: tuple[int, str]
) -> Untouched:
    parcels = [parcel for _, there in lots for parcel in there]
    n, low, high = (sum(getattr(p, end) for p in parcels) for end in ("n", "low", "high"))
    oldest = lots[0][0]
    since, day = max(used, (oldest.made_place, _day(oldest, oldest.made_place)))
    _, seen = max((lot.last_seen, _day(lot, lot.last_seen)) for lot, _ in lots)
    return Untouched(
        food=food,
        amount=measure(unit, n, low, high),
        lots=tuple(lot.name for lot, _ in lots),
        stores=tuple(sorted({parcel.store for parcel in parcels})),
        since=since,
        since_on=day,
        seen_on=seen,
    )
