"""What to carry: a food's working shelf filled up from what stands elsewhere, the oldest first.

In blocks across lots: all of the oldest, then of the next. Whole closed packages only; nothing that
is held, set aside, in doubt or somebody else's, and nothing out of the ground: that is dug. It
proposes and moves nothing, and it buys nothing: what the house lacks is for the reorder list.
"""

from collections.abc import Iterable
from fractions import Fraction

from msgspec import Struct

from events.book import Book
from events.kinds import GRAIN, Package
from events.lots.places import within
from events.quantity import Equal
from events.readings.finding import Foods
from events.readings.packed import keeping_start
from events.readings.reorder import in_marks
from events.readings.rows import Row, parcels
from events.readings.stock_marks import Marks, all_marks, equals
from events.readings.sums import size_of


class Piece(Struct, frozen=True, kw_only=True):
    """So much (grains of `unit`) of one lot out of one store."""

    lot: str
    """its short code"""
    name: str
    store: str
    unit: str
    n: int
    made: str | None
    content: Package | None


class Carry(Struct, frozen=True, kw_only=True):
    """What to carry of one food, in the unit of its marks."""

    marks: Marks
    there: Fraction
    """on the shelf now"""
    wanted: Fraction
    pieces: tuple[Piece, ...]
    short: Fraction
    """what back stock lacks of what is wanted"""
    one_act: bool
    """all stands alike in one store, where the oldest of the food are just these"""


class Carrying(Struct, frozen=True):
    """What to carry, and sentences for marks not understood."""

    carries: tuple[Carry, ...]
    unread: tuple[str, ...]


def carrying(book: Book) -> Carrying:
    """Every shelf below its refill mark, and what fills it up to its par."""
    known, unread = all_marks(book)
    foods = Foods(book)
    by_food: dict[str, list[Row]] = {}
    for row in parcels(book):
        by_food.setdefault(foods.canonical(row.food), []).append(row)
    found = []
    for marks in known:
        if marks.shelf_par is None or marks.shelf_refill is None:
            continue
        ways = equals(book.settings.foods.get(marks.food, {}))
        all_rows = by_food.get(marks.food, [])
        rows = [row for row in all_rows if row.offered]
        here = [row for row in rows if within(row.store, marks.shelf)]
        there = sum((_worth(row, row.amount.n, marks, ways) for row in here), Fraction(0))
        if there >= marks.shelf_refill:
            continue
        back = [row for row in rows if not within(row.store, marks.shelf) and not row.opened
                and book.settings.kind_of(row.store) != "ground"]  # fmt: skip
        back.sort(key=lambda row: _age(book, row))
        found.append(_carry(marks, there, back, all_rows, ways))
    return Carrying(tuple(found), tuple(unread))


def _age(book: Book, row: Row) -> tuple[int, int, str, str]:
    """The one made longest ago first, whenever it came in."""
    return keeping_start(book, book.lots[row.name])[1], row.made_place, row.name, row.store


def _carry(
    marks: Marks, there: Fraction, back: Iterable[Row], rows: list[Row], ways: list[Equal]
) -> Carry:
    wanted = (marks.shelf_par or Fraction(0)) - there
    left, pieces = wanted, []
    for row in back:
        one = _worth(row, GRAIN, marks, ways)
        if left <= 0 or not one:
            continue
        n = min(row.amount.low, int(left / one * GRAIN))
        if row.content is not None:
            n = min(row.amount.low // GRAIN, -int(-left // one)) * GRAIN
        if n:
            pieces.append(Piece(lot=row.lot, name=row.name, store=row.store, unit=row.amount.unit,
                                n=n, made=row.made, content=row.content))  # fmt: skip
            left -= one * Fraction(n, GRAIN)
    return Carry(marks=marks, there=there, wanted=wanted, pieces=tuple(pieces),
                 short=max(Fraction(0), left), one_act=_one_act(pieces, rows))  # fmt: skip


def _one_act(pieces: list[Piece], rows: list[Row]) -> bool:
    """Whether to carry the oldest out of that store comes to just these pieces."""
    alike = {(piece.store, piece.unit, piece.content) for piece in pieces}
    if len(alike) != 1 or len(pieces) < 2:
        return False
    store, unit, content = alike.pop()
    there = [row for row in rows if within(row.store, store)
             and not (row.held or row.set_aside or row.in_doubt)]  # fmt: skip
    return all(
        (row.store, row.amount.unit, row.content) == (store, unit, content)
        and row.offered
        and not row.opened
        and row.amount.exact
        for row in there
    )


def _worth(row: Row, n: int, marks: Marks, ways: list[Equal]) -> Fraction:
    """`n` grains of the row in the unit of the marks; nought where it does not come to that."""
    size = size_of(row.content)
    return in_marks(n, row.amount.unit, size, marks.unit, ways) or Fraction(0)
