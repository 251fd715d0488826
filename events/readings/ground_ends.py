"""By when a crop has to be out of the ground: before new growth, or before frost that it does not stand.

Each end is a range: from where the warmest (or coldest) that fits passes the lower threshold, to
where the other passes the higher one; likely is where the middle passes the middle of them. Ground
that never cools to the lower threshold warms from its coldest week on. The week's mean decides. A crop without a published figure has
no end of that kind. Of potatoes under straw common practice says, without a source that was read:
dug before the soil warms, about April in a cool place by the sea.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from events.readings.ground_course import Course, first_below, rises_above
from events.tables import Tables, plain
from events.tables.beds import Beds, Threshold

What: TypeAlias = Literal["new growth", "hard frost"]


class End(Struct, frozen=True, kw_only=True):
    """An event by which a crop is to be dug."""

    what: What
    first: date
    """from this day it may come"""
    likely: date | None
    last: date | None
    """by this day it has come by all that fits; None: it may not come"""
    celsius: tuple[float, float]
    """the thresholds, low and high"""
    sources: tuple[str, ...]
    publishers: tuple[str, ...]
    measured_in: tuple[str, ...]
    """where the sources' thermometers were"""


def crops(names: Sequence[str], tables: Tables) -> frozenset[str]:
    """What the tables call a food, and the groups it is of."""
    found: set[str] = set()
    for name in names:
        row = tables.foods.get(plain(name))
        found |= {plain(name).replace(" ", "-")} if row is None else {*row.foods, *row.groups}
    return frozenset(found)


def thresholds(
    names: Sequence[str], tables: Tables, known: Beds, kind: str
) -> list[Threshold]:  # fmt: skip
    """The rows of that kind for a food; published ones only."""
    of = crops(names, tables)
    return [row for row in known.thresholds
            if row.kind == kind and row.crop in of and tables.sources[row.source_id].published]  # fmt: skip


def stands_frost(names: Sequence[str], tables: Tables, known: Beds) -> bool:
    """Whether a source says in words that it withstands freezing where it grew."""
    return any(row.celsius is None for row in thresholds(names, tables, known, "freeze-damage"))


def ends_of(
    names: Sequence[str], tables: Tables, known: Beds, on: Course | None, since: date
) -> tuple[tuple[End, ...], str]:
    """The ends of a crop that has stood there since a day, earliest first; else why there is none."""
    growth = [
        row for row in thresholds(names, tables, known, "sprouting") if row.celsius is not None
    ]
    frost = [
        row for row in thresholds(names, tables, known, "freeze-damage") if row.celsius is not None
    ]
    if not growth and not frost:
        return (), "no threshold was read for it"
    if on is None:
        return (), "nothing is known of the temperature of its soil"
    start = max(0, (since - on.first).days)
    found = [end for end in (_growth(growth, on, start), _frost(frost, on, start)) if end]
    found = [_named(end, tables) for end in found]
    found.sort(key=lambda end: (end.first, end.last or date.max))
    found = [end for end in found if (end.first - found[0].first).days <= LONGEST]
    return tuple(
        found
    ), "" if found else "the soil does not come to a threshold of it within a year"


def _named(end: End, tables: Tables) -> End:
    names = (tables.sources[one].publisher.partition(" (")[0] for one in end.sources)
    return replace(end, publishers=tuple(dict.fromkeys(names)))


def _growth(rows: Sequence[Threshold], on: Course, start: int) -> End | None:
    """When the soil warms after it came in: from the warmest that fits, to the coldest."""
    figures = sorted(row.celsius for row in rows if row.celsius is not None)
    if not figures:
        return None
    middle = rises_above(on.likely, (figures[0] + figures[-1]) / 2, start + 1)
    last = rises_above(on.low, figures[-1], start + 1)
    until = last if last is not None else middle
    if until is None:
        first = rises_above(on.high, figures[0], start + 1)
    else:
        cold = (i for i in range(until, start, -1) if on.high[i - 1] <= figures[0])
        first = next(cold, min(range(start, until + 1), key=lambda i: on.likely[i]))
    return None if first is None else _end("new growth", rows, on, (first, middle, last))


def _frost(rows: Sequence[Threshold], on: Course, start: int) -> End | None:
    """When frost reaches it after it came in: from the coldest that fits, to the warmest."""
    figures = sorted(row.celsius for row in rows if row.celsius is not None)
    first = first_below(on.low, figures[-1], start) if figures else None
    if first is None:
        return None
    middle, last = (first_below(course, figures[0], first) for course in (on.likely, on.high))
    ends = (end if end is not None and end - first <= LONGEST else None for end in (middle, last))
    return _end("hard frost", rows, on, (first, *ends))


LONGEST = 200
"""Days from a first frost or growth to what still belongs to the same winter."""


def _end(
    what: What, rows: Sequence[Threshold], on: Course, days: tuple[int | None, ...]
) -> End:  # fmt: skip
    start, middle, end = days
    if middle is not None:  # a reading may have bent the curves: likely stays within
        middle = max(middle, start or 0) if end is None else min(max(middle, start or 0), end)
    first, likely, last = (
        None if i is None else on.first + timedelta(days=i) for i in (start, middle, end)
    )
    figures = sorted(row.celsius for row in rows if row.celsius is not None)
    return End(
        what=what,
        first=first or on.first,
        likely=likely,
        last=last,
        celsius=(figures[0], figures[-1]),
        sources=tuple(dict.fromkeys(row.source_id for row in rows)),
        publishers=(),
        measured_in=tuple(sorted({row.measured_in for row in rows})),
    )
