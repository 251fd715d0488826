"""Dig and carry: what presses in the beds, then what fills a working shelf up from what stands elsewhere.

The oldest is carried first; what somebody is to look at is looked at before it is carried.
Limit of this form: nothing says that a store is too warm or too cold.
"""

from collections.abc import Collection, Sequence
from fractions import Fraction
from itertools import groupby

from events.book import Book
from events.quantity import grains, show_amount
from events.readings.carrying import Carry, carrying
from service.digests.digest import Item, Section
from service.digests.words import listed

MOST = 3
"""Lots named in one line."""


def carry(book: Book, to_look_at: Collection[str], to_dig: Sequence[Item]) -> Section:
    """What is to be dug, then the shelves below their mark that something elsewhere can fill.

    `to_look_at`: the lots at which somebody is to look this week.
    """
    items = tuple(_item(one, to_look_at) for one in carrying(book).carries if one.pieces)
    return Section(heading="Dig and carry", items=(*to_dig, *items))


def _item(one: Carry, to_look_at: Collection[str]) -> Item:
    marks = one.marks
    pieces = [
        f"{', '.join(f'{show_amount(piece.n, piece.unit)} {piece.lot}' for piece in alike)}, "
        f"{store or 'no store said'}"
        for store, alike in groupby(one.pieces, lambda piece: piece.store)
    ]
    there = _shown(one.there, marks.unit) if one.there else "none"
    par = _shown(marks.shelf_par, marks.unit)
    first = [piece.lot for piece in one.pieces if piece.name in to_look_at]
    look = f"; look at {listed(first, MOST, 'lots')} first" if first else ""
    short = f", {_shown(one.short, marks.unit)} short" if one.short else ""
    return Item(
        text=f"{marks.food} to {marks.shelf}: {listed(pieces, MOST, 'lots')}",
        why=f"{there} there, up to {par}{short}{look}",
        lot=one.pieces[0].name,
        key=f"carry|{marks.food}|{marks.shelf}",
        short=f"{marks.food} to {marks.shelf}",
    )


def _shown(n: Fraction | None, unit: str) -> str:
    return show_amount(grains(n or Fraction(0)), unit)
