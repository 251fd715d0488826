"""A crop in jars and canner loads, and fresh food dried: what published guides say of each.

Every row answers by itself, as a range where it prints one. A jar is a jar when it is full; what does
not fill one is left over. Drying is the water that goes: the weight to aim at, no proof that food is
dry. How to process a jar is not here: that is in a tested recipe for just this food and jar.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil, floor

from msgspec import Struct

from events.quantity import convert
from events.tables.packing import Packing, Water, Yield, rows_for

QUARTS, PINTS = 7, 9
"""Jars in a canner load as the guides reckon: our own canner may take others."""


class Jars(Struct, frozen=True, kw_only=True):
    """What one row says of so much of a crop, in jars of one size."""

    row: Yield
    pounds: tuple[Fraction, Fraction]
    jars: tuple[int, int]
    """full ones, least and most"""
    left: tuple[Fraction, Fraction]
    """pounds that do not fill one more, at the least and at the most jars"""
    a_load: int
    loads: tuple[int, int]
    pounds_a_load: Fraction | None
    """as printed for a load of that size; None: not printed, or another size"""


class Dried(Struct, frozen=True, kw_only=True):
    """Fresh food with its water gone, grams."""

    fresh: tuple[Fraction, Fraction]
    water: Water
    dry: Fraction | None
    """the part of water that stays; None: nobody printed it for this food"""
    by: Water | None
    """the row that says so; None with `dry`: the household's own word"""
    comes_to: tuple[Fraction, Fraction]
    """least and most; where `dry` is not known, of dry matter alone"""


def yields(names: Sequence[str], tables: Packing, form: str = "") -> list[Yield]:
    """The rows for a crop; with `form`, those whose form has that word, none if none has."""
    rows = rows_for(tables.yields, names)
    word = form.casefold().strip()
    return [row for row in rows if word in row.form.casefold()] if word else rows


def in_jars(
    pounds: tuple[Fraction, Fraction] | None, bushels: Fraction | None, size_ml: Fraction,
    rows: Iterable[Yield], a_load: int | None = None,
) -> list[Jars]:  # fmt: skip
    """What each row says of so many pounds, or of so many bushels by its own bushel.

    A row that prints neither pounds a quart nor quarts of a bushel that was asked for says nothing.
    """
    quart = convert(Fraction(1), "qt", "ml") or Fraction(1)
    found = []
    for row in rows:
        weight = _pounds(pounds, bushels, row)
        if weight is None:
            continue
        quarts = _quarts(weight, bushels, row)
        if quarts is None:
            continue
        jars = [quarts[i] * quart / size_ml for i in (0, 1)]
        full = floor(jars[0]), floor(jars[1])
        left = [
            weight[i] * (jars[i] - full[i]) / jars[i] if jars[i] else Fraction(0) for i in (0, 1)
        ]
        count = a_load or (PINTS if size_ml < quart else QUARTS)
        found.append(
            Jars(row=row, pounds=weight, jars=full, left=(left[0], left[1]), a_load=count,
                 loads=(ceil(Fraction(full[0], count)), ceil(Fraction(full[1], count))),
                 pounds_a_load=_printed(row, size_ml, quart, count))
        )  # fmt: skip
    return found


def _pounds(
    pounds: tuple[Fraction, Fraction] | None, bushels: Fraction | None, row: Yield
) -> tuple[Fraction, Fraction] | None:  # fmt: skip
    if bushels is None:
        return pounds
    return None if row.bushel is None else (row.bushel[0] * bushels, row.bushel[1] * bushels)


def _quarts(
    pounds: tuple[Fraction, Fraction], bushels: Fraction | None, row: Yield
) -> tuple[Fraction, Fraction] | None:  # fmt: skip
    if bushels is not None and row.quarts_a_bushel is not None:
        return row.quarts_a_bushel[0] * bushels, row.quarts_a_bushel[1] * bushels
    if row.quart is None:
        return None
    return pounds[0] / row.quart[1], pounds[1] / row.quart[0]


def _printed(row: Yield, size: Fraction, quart: Fraction, a_load: int) -> Fraction | None:
    if a_load == QUARTS and size == quart:
        return row.load_7_quarts
    return row.load_9_pints if a_load == PINTS and size == quart / 2 else None


def dried(
    fresh: tuple[Fraction, Fraction], names: Sequence[str], tables: Packing, form: str,
    own: Fraction | None = None,
) -> Dried | None:  # fmt: skip
    """Fresh grams (least, most) dried: `form` dried or freeze-dried; None: no row for the fresh food.

    `own`: the part of water that stays by the household's own word.
    """
    rows = rows_for(tables.waters, names)
    water = next((row for row in rows if row.form == "fresh"), None)
    if water is None:
        return None
    by = next((row for row in rows if row.form == form), None) if own is None else None
    dry = own if own is not None else by.part if by else None
    matter = tuple(grams * (1 - water.part) / (1 - (dry or Fraction(0))) for grams in fresh)
    return Dried(fresh=fresh, water=water, dry=dry, by=by, comes_to=(matter[0], matter[1]))


def loads(grams: Fraction, trays: int, a_tray: Fraction) -> int:
    """Loads of so many trays, each with so many grams, that an amount takes."""
    return ceil(grams / (trays * a_tray))
