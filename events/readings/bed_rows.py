"""How much of a bed's rows is dug, lost and left, and what is likely left by what the dug part gave.

By length or by plants, where that was said beside the amounts ("40 ft", "60 plants"). The books are
not altered: what is left by length stands beside what they have, and a count settles it.
"""

from collections.abc import Iterable
from fractions import Fraction

from msgspec import Struct

from events.book import Book
from events.kinds import (
    GRAIN,
    Amount,
    Consumed,
    Counted,
    Gave,
    Moved,
    Planted,
    PutUp,
    Received,
    Repacked,
    Spoiled,
)
from events.lots.places import related, within
from events.lots.state import UNBOUNDED, Line, Lot
from events.quantity import convert
from events.readings.lots import Measure

ONE_DIGGING = Fraction(3, 20)
"""How far either way the rest may give, where only one digging has been: our own, no source."""

ROWS = frozenset({"ft", "metre", "plant", "row", "hill"})
"""What a bed is measured in."""


class Rows(Struct, frozen=True, kw_only=True):
    """The rows of one lot in one bed, in `unit`."""

    unit: str
    whole: Fraction
    """of what was sown, or of what was left when it was last counted"""
    dug: Fraction
    lost: Fraction
    causes: tuple[str, ...]
    """of what was lost, in order"""
    gave: Fraction
    """what the dug part gave, in the unit of the lot"""
    each: tuple[Fraction, Fraction, Fraction] | None
    """least, likely and most that one `unit` gave; None: nothing was weighed by length yet"""
    rest: Measure | None
    """what is left by length: what each gave, times what is left"""

    @property
    def left(self) -> Fraction:
        return max(Fraction(0), self.whole - self.dug - self.lost)


def rows_of(book: Book, lot: Lot, bed: str) -> Rows | None:
    """The rows of a lot in a bed; None where nobody said how long they are."""
    told = _Told(book, lot, bed)
    for line in lot.lines:
        told.hear(line)
    return told.rows()


class _Told:
    """What was said of the rows, line by line."""

    def __init__(self, book: Book, lot: Lot, bed: str) -> None:
        self.book = book
        self.lot = lot
        self.bed = bed
        self.unit = ""
        self.whole = Fraction(0)
        self.dug = Fraction(0)
        self.lost = Fraction(0)
        self.causes: list[str] = []
        self.gave = Fraction(0)
        self.diggings: list[tuple[Fraction, Fraction]] = []
        """(length, amount) of each that was weighed, also of those before the rows were counted"""

    def hear(self, line: Line) -> None:
        body = line.record.body
        match body:
            case Received():
                if within(body.store, self.bed):
                    self.starts(body.amount)
            case PutUp() | Repacked():
                if self._made_by(line):
                    made = body.yields[int(self.lot.name.rsplit(":", 1)[1])]
                    if within(made.store, self.bed):
                        self.starts(made.amount)
            case Counted():
                if within(self.bed, body.store) and not body.part:
                    self.starts(body.amount)
            case Moved() | Consumed() | Gave() | Planted() | Spoiled():
                self.goes(body)
            case _:
                pass

    def goes(self, body: Moved | Consumed | Gave | Planted | Spoiled) -> None:
        """Out of the bed: dug, or lost; said to be in another bed, or in a part of one."""
        if isinstance(body, Moved) and self.book.settings.kind_of(body.to) == "ground":
            self.shifts(body)
        elif not self.here(body.store):
            return
        elif isinstance(body, Spoiled):
            self.loses(body.amount, body.cause or "lost")
        else:
            self.taken(body.amount)

    def shifts(self, body: Moved) -> None:
        length = self.length(body.amount) or Fraction(0)
        if body.to == self.bed:
            self.whole += length
        elif body.store == self.bed:
            self.whole = max(Fraction(0), self.whole - length)

    def _made_by(self, line: Line) -> bool:
        return self.lot.maker is not None and line.record.name == self.lot.maker.name

    def here(self, store: str) -> bool:
        return related(store, self.bed) and self.book.settings.kind_of(store) == "ground"

    def length(self, amount: Amount) -> Fraction | None:
        """How much of the rows an amount speaks of, in their unit."""
        if amount.beside_n is None or amount.beside_unit is None:
            if amount.unit not in ROWS or amount.n is None:
                return None
            said, unit = Fraction(amount.n, GRAIN), amount.unit
        else:
            said, unit = Fraction(amount.beside_n, GRAIN), amount.beside_unit
        if unit not in ROWS:
            return None
        self.unit = self.unit or unit
        return convert(said, unit, self.unit)

    def starts(self, amount: Amount) -> None:
        """So long are the rows now; what was dug before is behind."""
        length = self.length(amount)
        if length:
            self.whole, self.dug, self.lost, self.gave = (
                length,
                Fraction(0),
                Fraction(0),
                Fraction(0),
            )
            self.causes = []

    def taken(self, amount: Amount) -> None:
        length = self.length(amount)
        if not length:
            return
        self.dug += length
        weighed = amount.unit not in ROWS
        if weighed and amount.n is not None and amount.low is None:
            self.gave += Fraction(amount.n, GRAIN)
            self.diggings.append((length, Fraction(amount.n, GRAIN)))

    def loses(self, amount: Amount, cause: str) -> None:
        length = self.length(amount)
        if length:
            self.lost += length
            self.causes += [cause] if cause not in self.causes else []

    def rows(self) -> Rows | None:
        if not self.whole:
            return None
        left = max(Fraction(0), self.whole - self.dug - self.lost)
        each = _each(self.diggings)
        rest = None if each is None else _rest(each, left, self.lot.unit)
        return Rows(unit=self.unit, whole=self.whole, dug=self.dug, lost=self.lost,
                    causes=tuple(self.causes), gave=self.gave,
                    each=each, rest=rest)  # fmt: skip


def _each(
    diggings: Iterable[tuple[Fraction, Fraction]],
) -> tuple[Fraction, Fraction, Fraction] | None:
    """What one unit gave: least, over all, most."""
    weighed = list(diggings)
    if not weighed:
        return None
    gave = [n / length for length, n in weighed]
    likely = sum((n for _, n in weighed), Fraction(0)) / sum(
        (length for length, _ in weighed), Fraction(0)
    )
    if len(gave) == 1:
        return likely * (1 - ONE_DIGGING), likely, likely * (1 + ONE_DIGGING)
    return min(gave), likely, max(gave)


def _rest(
    each: tuple[Fraction, Fraction, Fraction], left: Fraction, unit: str
) -> Measure:  # fmt: skip
    low, likely, high = (min(round(one * left * GRAIN), UNBOUNDED) for one in each)
    return Measure(unit, likely, low, high)
