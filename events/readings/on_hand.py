"""What there is: one row for what a person would see as one thing in one place, and sums of food.

A row is so much of one lot in one store in one state (open or closed, held, kept back, in doubt).
Sums never add unlike units, are ranges where something is estimated, and never count as on offer
what is held, kept back, in doubt, somebody else's, or likely written down twice.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from msgspec import Struct, field

from events.book import Book
from events.kinds import GRAIN, Counted, Package
from events.lots.places import within
from events.lots.state import UNBOUNDED, Lot, Parcel
from events.quantity import NotUnderstood, grains, number, volume_of
from events.readings.finding import Foods
from events.readings.lots import (
    Measure,
    amount_json,
    code_of,
    codes_of,
    last_seen,
    made,
    measure,
    whole_count_after,
)


class Row(Struct, frozen=True, kw_only=True):
    """So much of one lot in one store in one state."""

    lot: str
    """its short code"""
    name: str
    food: str
    variety: str
    form: str
    store: str
    amount: Measure
    """in doubt: `low` is nought, for it may be there or not"""
    packages: int | None
    """whole closed packages; None where nobody counted, or it is not kept in packages"""
    opened: bool
    made: str | None
    held: bool
    set_aside: bool
    in_doubt: bool
    marks: tuple[str, ...]
    """the records that hold it or keep it back"""
    owner: str
    """whose it is, where it is not the household's"""
    last_seen: int | None
    less_some: bool
    """some of the lot went in a measure that does not convert, so there may be less"""
    content: Package | None = None
    made_place: int = 0

    @property
    def offered(self) -> bool:
        """Whether it may be planned with."""
        return not (self.held or self.set_aside or self.in_doubt or self.owner)


def parcels(book: Book) -> list[Row]:
    """Every row there is, by food, place and age."""
    codes = codes_of(book)
    rows: list[Row] = []
    for lot in book.lots.values():
        rows += _rows_of(book, lot, codes)
    return sorted(rows, key=_order)


def _order(row: Row) -> tuple[object, ...]:
    return (row.food.casefold(), row.form, row.store, row.made_place, row.name, row.in_doubt,
            not row.opened, row.held, row.set_aside)  # fmt: skip


def _rows_of(book: Book, lot: Lot, codes: dict[str, str]) -> list[Row]:
    groups: dict[tuple[str, bool, bool, bool, bool], list[Parcel]] = {}
    for parcel in lot.parcels:
        if parcel.high > 0:
            state = (parcel.store, parcel.opened is not None, bool(parcel.holds),
                     bool(parcel.asides), parcel.doubt)  # fmt: skip
            groups.setdefault(state, []).append(parcel)
    when = made(book, lot) if groups else None
    rows = []
    for (store, is_open, held, aside, doubt), there in groups.items():
        amount = amount_of(lot.unit, there)
        marks = {name for p in there for name, _ in (*p.holds, *p.asides)}
        rows.append(
            Row(
                lot=code_of(lot.name, codes),
                name=lot.name,
                food=lot.food,
                variety=lot.variety,
                form=lot.form,
                store=store,
                amount=Measure(lot.unit, amount.n, 0, amount.high) if doubt else amount,
                packages=whole_packages(lot, amount, is_open),
                opened=is_open,
                made=when,
                held=held,
                set_aside=aside,
                in_doubt=doubt,
                marks=tuple(sorted(marks)),
                owner=owner_of(lot),
                last_seen=last_seen(lot, store),
                less_some=bool(lot.less_some),
                content=lot.identity.package if lot.identity else None,
                made_place=lot.made_place,
            )
        )
    return rows


def owner_of(lot: Lot) -> str:
    """Whose the lot is; empty for the household's own."""
    made_as = (lot.identity.owner if lot.identity else None) or ""
    return lot.facts.get("owner", made_as)


def amount_of(unit: str, there: Iterable[Parcel]) -> Measure:
    """The sum of parcels of one lot."""
    n = low = high = 0
    for parcel in there:
        n += parcel.n
        low += parcel.low
        high = UNBOUNDED if parcel.high >= UNBOUNDED else high + parcel.high
    return measure(unit, n, low, high)


def whole_packages(lot: Lot, amount: Measure, is_open: bool) -> int | None:
    """Whole closed packages, where the lot is kept in packages and they were counted."""
    if not lot.packed or not amount.exact:
        return None
    return 0 if is_open else amount.n // GRAIN


def to_json(rows: Sequence[Row]) -> list[dict[str, object]]:
    """The rows as plain data for programs."""
    return [
        {
            "lot": row.lot,
            "name": row.name,
            "food": row.food,
            "variety": row.variety or None,
            "form": row.form or None,
            "store": row.store,
            "amount": amount_json(row.amount),
            "packages": row.packages,
            "opened": row.opened,
            "made": row.made,
            "held": row.held,
            "set_aside": row.set_aside,
            "in_doubt": row.in_doubt,
            "marks": list(row.marks),
            "owner": row.owner or None,
        }
        for row in rows
    ]


# -- sums ------------------------------------------------------------------------------------------


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


def totals(book: Book, store: str = "") -> list[Total]:
    """A total for every food in the store and its parts (the whole household's if none), by name."""
    foods = Foods(book)
    doubles = likely_doubles(book)
    by_food: dict[str, list[Row]] = {}
    for row in parcels(book):
        if within(row.store, store):
            by_food.setdefault(foods.canonical(row.food), []).append(row)
    found = []
    for food, rows in sorted(by_food.items()):
        total = total_of(food, rows, doubles)
        for (place, unit, size), n in picked_short(book, food, foods).items():
            if within(place, store) or within(store, place):
                for one in total.sums:
                    if (one.unit, one.size) == (unit, size):
                        one.picked_short += n
        found.append(total)
    return found


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
        else:
            one.offered = one.offered.plus(row.amount)
            offered[row.name] = offered.get(row.name, 0) + row.amount.n
    for double in doubles:
        there = offered.get(double.lot, 0) + offered.get(double.of, 0)
        if double.lot in offered:
            where[double.lot].double += min(double.n, there)
    return Total(
        food=food,
        sums=[sums[key] for key in sorted(sums)],
        volume=volume([row for row in rows if row.offered]),
        less_some=any(row.less_some for row in rows),
    )


def _nought(unit: str, size: str) -> Sum:
    nought = Measure(unit, 0, 0, 0)
    return Sum(unit, size, nought, nought, nought, nought, nought)


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


def picked_short(
    book: Book, food: str, foods: Foods | None = None
) -> dict[tuple[str, str, str], int]:
    """What was taken from a chosen lot beyond what it had: (store, unit, size) to grains.

    Another lot of the food there has so much less, until one of them is next counted whole there.
    """
    known = foods or Foods(book)
    one = known.canonical(food)
    lots = [lot for lot in book.lots.values() if lot.food and known.canonical(lot.food) == one]
    sums: dict[tuple[str, str, str], int] = {}
    for lot in lots:
        size = size_of(lot.identity.package if lot.identity else None)
        for line in lot.lines:
            if isinstance(line.record.body, Counted):
                continue
            for posting in line.postings:
                if (
                    posting.term == "found"
                    and posting.picked
                    and not whole_count_after(lots, posting.store, line.place)
                ):
                    key = (posting.store, lot.unit, size)
                    sums[key] = sums.get(key, 0) + posting.n
    return sums
