"""Sums of a food: a figure a unit, never unlike units together, ranges where something is estimated.

Nothing is planned with that is held, kept back, in doubt, somebody else's, in ground that cannot be
dug now or was not dug in time (where that is asked for), likely written down twice, or gone by a take that a device put down to the wrong lot.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import TypeAlias

from msgspec import Struct, field

from events.book import Book
from events.kinds import GRAIN, Package
from events.lots.places import within
from events.lots.state import Lot
from events.quantity import NotUnderstood, grains, number, plural, show, volume_of
from events.readings.finding import Foods
from events.readings.ground_shut import NONE_SHUT, Shuts
from events.readings.lots import Measure, amount_json, shown, whole_count_after
from events.readings.rows import Row, parcels

Place: TypeAlias = tuple[str, str, str]
"""(store, unit, size of package)"""


class Sum(Struct):
    """What there is of a food in one unit (and one size of package)."""

    unit: str
    size: str
    """what one package holds ("1 quart"), empty for loose food"""
    offered: Measure
    held: Measure
    set_aside: Measure
    in_doubt: Measure
    others: Measure
    """somebody else's"""
    shut: Measure
    """in the ground, not to be counted on now"""
    double: int = 0
    """of what is offered, likely written down twice, grains"""
    picked_short: int = 0
    """taken from a lot that had less: some other lot here has so much less, grains"""

    @property
    def plan(self) -> Measure:
        """What to plan with: a likely double counts once, what was picked short is gone."""
        less = self.double + self.picked_short
        high = None if self.offered.high is None else max(0, self.offered.high - less)
        return Measure(
            self.unit, max(0, self.offered.n - less), max(0, self.offered.low - less), high
        )


class Total(Struct):
    """What the household has of one food: a sum a unit, never added to each other."""

    food: str
    sums: list[Sum] = field(default_factory=list)
    volume: Measure | None = None
    """what the packages on offer hold together, in US quarts, where that is known of all of them"""
    less_some: bool = False
    """some went in a measure that does not convert: there may be less"""


def totals(book: Book, store: str = "", shut: Shuts = NONE_SHUT) -> list[Total]:
    """A total for every food in the store and its parts (the whole household's if none), by name.

    `shut`: what of the ground is not on offer now.
    """
    foods = Foods(book)
    doubles = likely_doubles(book)
    by_food: dict[str, list[Row]] = {}
    for row in parcels(book, shut):
        if within(row.store, store):
            by_food.setdefault(foods.canonical(row.food), []).append(row)
    short = picked_short(book, foods)
    found = []
    for food, rows in sorted(by_food.items()):
        total = total_of(food, rows, doubles)
        take_off_short(total, short.get(food, {}), store)
        found.append(total)
    return found


def take_off_short(total: Total, short: Mapping[Place, int], store: str = "") -> None:
    """Note in a total what was picked short in the store, its parts or around it."""
    for (place, unit, size), n in short.items():
        if within(place, store) or within(store, place):
            for one in total.sums:
                if (one.unit, one.size) == (unit, size):
                    one.picked_short += n


def total_of(food: str, rows: Sequence[Row], doubles: Sequence["Double"] = ()) -> Total:
    """The sums of rows of one food."""
    sums: dict[tuple[str, str], Sum] = {}
    offered: dict[str, int] = {}
    where: dict[str, Sum] = {}
    for row in rows:
        unit, size = row.amount.unit, size_of(row.content)
        one = sums.get((unit, size)) or sums.setdefault((unit, size), _nought(unit, size))
        where[row.name] = one
        if row.owner:
            one.others = one.others.plus(row.amount)
        elif row.in_doubt:
            one.in_doubt = one.in_doubt.plus(row.amount)
        elif row.held:
            one.held = one.held.plus(row.amount)
        elif row.set_aside:
            one.set_aside = one.set_aside.plus(row.amount)
        elif row.out_of_reach:
            one.shut = one.shut.plus(row.amount)
        else:
            one.offered = one.offered.plus(row.amount)
            offered[row.name] = offered.get(row.name, 0) + row.amount.n
    for double in doubles:
        there = offered.get(double.lot, 0) + offered.get(double.of, 0)
        if there:
            one = where[double.lot if double.lot in offered else double.of]
            one.double += min(double.n, there)
    return Total(
        food=food,
        sums=[sums[key] for key in sorted(sums)],
        volume=volume([row for row in rows if row.offered]),
        less_some=any(row.less_some for row in rows),
    )


def _nought(unit: str, size: str) -> Sum:
    nought = Measure(unit, 0, 0, 0)
    return Sum(unit, size, nought, nought, nought, nought, nought, nought)


def size_of(package: Package | None) -> str:
    """What one package holds, in words; the vessel where nobody said."""
    if package is None:
        return ""
    if package.content is None:
        return package.vessel
    return f"{package.content} {package.content_unit or ''}".strip()


def volume(rows: Sequence[Row]) -> Measure | None:
    """What packages hold together in US quarts; None where any of them has no known volume."""
    if not rows:
        return None
    total = Measure("qt", 0, 0, 0)
    for row in rows:
        one = quarts_of_one(row.content)
        if one is None:
            return None
        amount = row.amount
        high = None if amount.high is None else _times(amount.high, one)
        total = total.plus(Measure("qt", _times(amount.n, one), _times(amount.low, one), high))
    return total


def _times(n: int, size: Fraction) -> int:
    return grains(Fraction(n, GRAIN) * size)


@lru_cache(maxsize=1024)
def quarts_of_one(package: Package | None) -> Fraction | None:
    """US quarts in one full package. How full it is, where only described, is not known."""
    if package is None or package.content is None or package.content_unit is None:
        return None
    try:
        fill = Fraction(1) if package.fill is None else number(package.fill)
    except NotUnderstood:
        return None
    return volume_of(fill, package.content, package.content_unit)


class Double(Struct, frozen=True):
    """A lot that was likely written down twice, the lot it is likely the same as, and how much."""

    lot: str
    of: str
    n: int


def likely_doubles(book: Book) -> list[Double]:
    """Of several that say the same, the first counts. Settled or voided ones are not here.

    What was taken of either is gone from the one there is, so the sum falls by all that the
    second brought in.
    """
    makers = {lot.maker.name: lot.name for lot in book.lots.values() if lot.maker is not None}
    found = []
    for concern in book.concerns():
        lot = book.lot(concern.lot) if concern.kind == "maybe-double" else None
        if lot is not None:
            of = makers.get(concern.rests_on[0], "")
            found.append(Double(lot.name, of, lot.totals.get("in", 0)))
    return found


def picked_short(book: Book, foods: Foods) -> dict[str, dict[Place, int]]:
    """What was taken from chosen lots beyond what they had, by food, place, unit and size, grains.

    Another lot of the food there has so much less, until one of them is next counted whole there.
    """
    by_food: dict[str, list[Lot]] = {}
    for lot in book.lots.values():
        if lot.food:
            by_food.setdefault(foods.canonical(lot.food), []).append(lot)
    found: dict[str, dict[Place, int]] = {}
    for food, lots in by_food.items():
        short = [lot for lot in lots if any(c.kind == "picked-short" for c in lot.concerns)]
        if short:
            first = min(c.place for lot in short for c in lot.concerns if c.kind == "picked-short")
            others = [lot for lot in book.since(first) if foods.canonical(lot.food) == food]
            if sums := _short_of(short, others):
                found[food] = sums
    return found


def _short_of(short: Sequence[Lot], lots: Sequence[Lot]) -> dict[Place, int]:
    """`lots`: all lots of the food that may have been counted since."""
    sums: dict[Place, int] = {}
    for lot in short:
        size = size_of(lot.identity.package if lot.identity else None)
        for line in lot.lines:
            for posting in line.postings:
                if (
                    posting.picked
                    and posting.term == "found"
                    and not whole_count_after(lots, posting.store, line.place)
                ):
                    key = (posting.store, lot.unit, size)
                    sums[key] = sums.get(key, 0) + posting.n
    return sums


# -- told -----------------------------------------------------------------------------------------


def told(total: Total) -> str:
    parts = [part for one in total.sums for part in _sums(one)]
    if not parts:
        return "none"
    text = ", ".join(parts)
    if total.volume is not None and (total.volume.n or not total.volume.exact):
        packed = {one.size for one in total.sums}
        text += f" ({shown(total.volume)} of food)" if packed != {""} else ""
    return f"{text}, less some" if total.less_some else text


def _sums(one: Sum) -> list[str]:
    """What is on offer, then what is there and is not."""
    size = f" of {one.size}" if one.size and one.size != one.unit else ""
    parts = []
    if one.offered.n or not one.offered.exact:
        parts.append(f"{shown(one.offered)}{size}")
        if one.double or one.picked_short:
            parts[-1] += f" (plan with {shown(one.plan)})"
    apart = (
        (one.held, "held"), (one.set_aside, "set aside"), (one.others, "not ours"),
        (one.shut, "in the ground, not to be counted on now"),
    )  # fmt: skip
    parts += [f"{shown(amount)}{size} {why}" for amount, why in apart if amount.n or amount.high]
    if one.in_doubt.n or one.in_doubt.high:
        parts.append(f"{_nought_to(one)}{size}: where now?")
    return parts or [f"no {plural(one.unit, 0)}{size}"]


def _nought_to(one: Sum) -> str:
    high = one.in_doubt.high
    if high is None:
        return f"nought or more {plural(one.unit, 2 * GRAIN)}"
    return f"nought to {show(high)} {plural(one.unit, high)}"


def total_json(total: Total) -> dict[str, object]:
    """A food's sums as plain data."""
    return {
        "food": total.food,
        "less_some": total.less_some,
        "volume": None if total.volume is None else amount_json(total.volume),
        "sums": [
            {
                "unit": one.unit,
                "size": one.size or None,
                "offered": amount_json(one.offered),
                "held": amount_json(one.held),
                "set_aside": amount_json(one.set_aside),
                "in_doubt": amount_json(one.in_doubt),
                "others": amount_json(one.others),
                "in_ground": amount_json(one.shut),
                "plan": amount_json(one.plan),
            }
            for one in total.sums
        ],
    }
