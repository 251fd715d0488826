"""Rows of what there is: so much of one lot in one store in one state, as a person would see it.

A row is put together from parcels that differ only in their history: open or closed, held, kept
back and in doubt are told apart, the paths by which the food came are not.
"""

from collections.abc import Iterable, Sequence
from datetime import tzinfo

from msgspec import Struct

from events.book import Book
from events.edtf import show as show_date
from events.kinds import GRAIN, Package
from events.lots.places import within
from events.lots.state import UNBOUNDED, Lot, Parcel
from events.quantity import plural, show
from events.readings.ground_shut import NONE_SHUT, Shut, Shuts
from events.readings.lots import (
    Measure,
    amount_json,
    code_of,
    codes_of,
    last_seen,
    made,
    measure,
    shown,
)
from events.readings.words import day


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
    of: Lot
    """the lot itself"""
    less_some: bool
    """some of the lot went in a measure that does not convert, so there may be less"""
    content: Package | None = None
    made_place: int = 0
    shut: Shut | None = None
    """why it is not to be counted on now, where it stands in a bed and that was asked for"""
    or_in: str = ""
    """where it may stand as well: somebody else says that they carried it there"""

    @property
    def last_seen(self) -> int | None:
        """When somebody last saw food of the lot there, Unix ms; read from its story."""
        return last_seen(self.of, self.store)

    @property
    def offered(self) -> bool:
        """Whether it may be planned with."""
        return not (self.held or self.set_aside or self.in_doubt or self.owner or self.out_of_reach)

    @property
    def out_of_reach(self) -> bool:
        """Surely not to be counted on now."""
        return self.shut is not None and self.shut.sure


def parcels(book: Book, shut: Shuts = NONE_SHUT) -> list[Row]:
    """Every row there is, by food, place and age; `shut`: what of the ground is not food now."""
    codes = codes_of(book)
    rows: list[Row] = []
    for lot in book.lots.values():
        rows += _rows_of(book, lot, codes, shut)
    return sorted(rows, key=_order)


def _order(row: Row) -> tuple[object, ...]:
    return (row.food.casefold(), row.form, row.store, row.made_place, row.name, row.in_doubt,
            not row.opened, row.held, row.set_aside)  # fmt: skip


def _rows_of(book: Book, lot: Lot, codes: dict[str, str], shut: Shuts) -> list[Row]:
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
                of=lot,
                less_some=bool(lot.less_some),
                content=lot.identity.package if lot.identity else None,
                made_place=lot.made_place,
                shut=shut.get((store, lot.name)),
                or_in=_or_in(book, lot, store),
            )
        )
    return rows


def _or_in(book: Book, lot: Lot, store: str) -> str:
    """The other place of food that two people say they carried to two places."""
    for concern in lot.concerns:
        if concern.kind == "moved-short" and concern.key not in book.thin.settled.values():
            for here, other in (
                (concern.other_store, concern.store),
                (concern.store, concern.other_store),
            ):
                if within(store, here) and not within(store, other):
                    return other
    return ""


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
            "or_in": row.or_in or None,
            "marks": list(row.marks),
            "owner": row.owner or None,
            "in_ground": None if row.shut is None else row.shut.words,
        }
        for row in rows
    ]


def told(row: Row, zone: tzinfo) -> str:
    """One row: how much, which lot, how old, in what state, last seen."""
    amount = row.amount
    if row.in_doubt:
        high = "more" if amount.high is None else show(amount.high)
        text = f"nought to {high} {plural(amount.unit, amount.high or 2 * GRAIN)}, where now?"
    else:
        text = shown(amount)
    notes = [row.lot]
    notes += [" ".join(word for word in (row.variety, row.form) if word)]
    notes += [f"of {show_date(row.made)}"] if row.made else []
    notes += [f"or in {row.or_in}?"] if row.or_in else []
    notes += ["open"] if row.opened else []
    notes += ["held: not to be eaten for now"] if row.held else []
    notes += ["set aside"] if row.set_aside else []
    notes += [f"belongs to {row.owner}"] if row.owner else []
    notes += [row.shut.words] if row.shut else []
    notes += [_seen(row, zone)]
    return f"{text}, {', '.join(note for note in notes if note)}"


def _seen(row: Row, zone: tzinfo) -> str:
    if row.last_seen is None:
        return "not seen there, as far as is known"
    return f"last seen {day(row.last_seen, zone)}"
