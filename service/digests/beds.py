"""Dig: what in a bed presses this week, new growth or hard frost within four weeks, or past.

Only beds of whose soil something is known; what does not press is left to the look at the ground.
"""

from collections.abc import Iterator
from datetime import date, tzinfo

from events.book import Book
from events.lots.state import UNBOUNDED
from events.readings.ground import Bed, InGround, ground
from events.readings.ground_ends import End, crops
from events.readings.ground_words import between, day, just_thawed, presses
from events.tables import Tables
from service.digests.caution import Cautions
from service.digests.digest import Item
from service.digests.words import of_food


def dig(
    book: Book, tables: Tables, today: date, zone: tzinfo, cautions: Cautions
) -> tuple[Item, ...]:  # fmt: skip
    """An item for each lot whose first end presses, the earliest first."""
    found = []
    for bed in ground(book, tables, today, zone):
        for one, end in _pressing(bed, today):
            found.append((end.first, one.food, one.lot, _item(bed, one, end, today)))
            if "potato" in crops([one.food], tables):
                cautions.called.add("potato")
    return tuple(item for *_, item in sorted(found, key=lambda told: told[:3]))


def _pressing(bed: Bed, today: date) -> Iterator[tuple[InGround, End]]:
    for one in bed.lots:
        if one.ends and presses(one.ends[0], today) and one.offered.high != 0:
            yield one, one.ends[0]


def _item(bed: Bed, one: InGround, end: End, today: date) -> Item:
    offered = one.offered
    high = UNBOUNDED if offered.high is None else offered.high
    much = of_food(offered.n, offered.low, high, offered.unit, one.food)
    return Item(
        text=f"{much} {one.lot}, {bed.store}: {_when(bed, end, today)}",
        why=f"{end.what}, {'; '.join(end.publishers)}",
        brief=end.what,
        lot=one.name,
    )


def _when(bed: Bed, end: End, today: date) -> str:
    if bed.reach == "no":
        return "frozen, not food now; dig at the thaw"
    if end.last is not None and end.last < today:
        return "dig now" if end.what == "new growth" else "look how they stood the frost"
    by = day(end.first) if end.last is None else between(end.first, end.last)
    thawed = just_thawed(bed, today)
    return f"thawed, dig by {by}" if thawed else f"dig by {by}"
