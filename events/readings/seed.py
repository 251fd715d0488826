"""Seed that is kept back: in which bed it may be planted from when, and where it would live longest.

Planting is a threshold of the soil, as a range like any other of a bed. Where it lives longest is
for dry seed alone, by temperature and at one dryness (Ellis and Roberts 1980); below freezing
nothing is reckoned. What is kept back for anything but seed is not here.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from statistics import fmean

from msgspec import Struct

from events.book import Book
from events.keeping.bands import assumed
from events.keeping.life import Lives, Question
from events.keeping.seed import Terms, times_as_long
from events.kinds import SetAside
from events.readings.climate import OUTDOORS, Climates
from events.readings.ground_course import Course, first_below, rises_above
from events.readings.ground_ends import crops, thresholds
from events.readings.lots import Measure
from events.readings.rows import Row, parcels
from events.tables import Tables
from events.tables.beds import Beds, Threshold

SEED_WORDS = ("seed", "plant", "sow")
NO_DRY_SEED = frozenset({"potato", "sweet-potato", "onion", "garlic", "jerusalem-artichoke"})
"""Crops that are planted as tubers, bulbs or sets."""

AHEAD_DAYS = 90
WARMEST, COLDEST = 40.0, 0.0
"""Between these (C) the lives of seed are compared."""
WORTH = 1.2
"""Times as long from which on another store is worth a word: our own choice."""


class Planting(Struct, frozen=True, kw_only=True):
    """From when the soil of a bed is warm enough: by the warmest that fits, and by the coldest."""

    bed: str
    first: date
    last: date | None
    celsius: float
    publisher: str


class Seed(Struct, frozen=True, kw_only=True):
    """So much kept back as seed in one store."""

    lot: str
    name: str
    food: str
    store: str
    amount: Measure
    planting: tuple[Planting, ...]
    longer: tuple[tuple[str, float], ...]
    """stores in which it would live longer, and how many times as long, longest first"""


def seed(
    book: Book, tables: Tables, known: Beds, today: date, courses: Sequence[tuple[str, Course]]
) -> list[Seed]:
    """All seed that is kept back; `courses`: beds and how warm they are from today on."""
    lives, climates = Lives(tables), Climates(book.settings, book.climate)
    return [
        Seed(
            lot=row.lot,
            name=row.name,
            food=row.food,
            store=row.store,
            amount=row.amount,
            planting=_planting(book, tables, known, row, today, courses),
            longer=_longer(book, lives, climates, known, row, today, tables),
        )
        for row in parcels(book)
        if row.set_aside and not row.held and _for_seed(book, row)
    ]


def _for_seed(book: Book, row: Row) -> bool:
    for name in row.marks:
        entry = book.entry(name)
        body = entry.record.body if entry else None
        if isinstance(body, SetAside):
            said = (body.purpose or "").casefold()
            if any(word in said for word in SEED_WORDS):
                return True
    return False


def _names(book: Book, row: Row) -> tuple[str, ...]:
    return (row.food, *book.settings.other_names(row.food))


def _planting(
    book: Book, tables: Tables, known: Beds, row: Row, today: date,
    courses: Sequence[tuple[str, Course]],
) -> tuple[Planting, ...]:  # fmt: skip
    rows = thresholds(_names(book, row), tables, known, "planting")
    warm = next((one for one in rows if one.celsius is not None), None)
    if warm is None:
        return ()
    found = (_warm(bed, on, warm, today, tables) for bed, on in courses)
    return tuple(sorted((one for one in found if one), key=lambda one: (one.first, one.bed)))


def _warm(
    bed: str, on: Course, row: Threshold, today: date, tables: Tables
) -> Planting | None:  # fmt: skip
    """When the week's mean is above the threshold, now or after the winter."""
    celsius = row.celsius or 0.0
    start = (today - on.first).days
    if on.low[start] > celsius and on.likely[start + 14] > on.likely[start]:
        return _from(bed, row, today, today, tables)
    cold = first_below(on.low, celsius, start)
    if cold is None:
        return None
    first = rises_above(on.high, celsius, cold)
    if first is None:
        return None
    last = rises_above(on.low, celsius, first)
    end = None if last is None else on.first + timedelta(days=last)
    return _from(bed, row, on.first + timedelta(days=first), end, tables)


def _from(
    bed: str, row: Threshold, first: date, last: date | None, tables: Tables
) -> Planting:  # fmt: skip
    publisher = tables.sources[row.source_id].publisher.partition(" (")[0]
    return Planting(bed=bed, first=first, last=last, celsius=row.celsius or 0.0,
                    publisher=publisher)  # fmt: skip


def _longer(
    book: Book, lives: Lives, climates: Climates, known: Beds, row: Row, today: date,
    tables: Tables,
) -> tuple[tuple[str, float], ...]:  # fmt: skip
    names = _names(book, row)
    dry = lives.form(Question(names=names, form=row.form)) == "dry-staple" or "seed" in row.food
    here = _mean(book, climates, row.store, today)
    if not dry or here is None or crops(names, tables) & NO_DRY_SEED:
        return ()
    universal = known.seeds["any"]
    terms = Terms(0.0, 0.0, universal.ch, universal.cq)
    found = []
    for store in book.settings.stores:
        there = _mean(book, climates, store, today)
        if "/" in store or store == OUTDOORS or there is None:
            continue
        times = times_as_long(terms, there, here)
        if times >= WORTH:
            found.append((store, times))
    return tuple(sorted(found, key=lambda one: (-one[1], one[0])))


def _mean(book: Book, climates: Climates, store: str, today: date) -> float | None:
    """What is expected of a store over the next quarter; None outside what is compared."""
    kind = book.settings.kind_of(store)
    if kind == "ground":
        return None
    days = climates.curve(store).days((today - date(1970, 1, 1)).days, AHEAD_DAYS)
    milli = [day for day in days if day is not None]
    band = assumed(kind)
    if milli:
        celsius = fmean(milli) / 1000
    elif band is not None:
        celsius = (band.low + band.high) / 2000
    else:
        return None
    return celsius if COLDEST <= celsius <= WARMEST else None
