"""What a bushel, peck, lug, crate or flat of a crop weighs, and the quarts it gives, as published.

A bushel is a volume; it becomes a weight only here, per crop, as the range that the sources give.
The rule: no row, no figure. Rows read second-hand are left out of the table.
"""

import csv
from fractions import Fraction
from functools import cache
from importlib.resources import files

from msgspec import Struct

from events.quantity.units import convert


class Measure(Struct, frozen=True):
    """A row of the table: pounds in one `measure` of a crop, and quarts put up from it."""

    crop: str
    names: tuple[str, ...]
    measure: str
    form: str
    pounds: tuple[Fraction, Fraction] | None
    quarts: tuple[Fraction, Fraction] | None
    source_id: str


def _range(low: str, high: str) -> tuple[Fraction, Fraction] | None:
    return (Fraction(low), Fraction(high)) if low and high else None


@cache
def _table() -> tuple[Measure, ...]:
    text = files("events").joinpath("tables", "bushels.csv").read_text(encoding="utf-8")
    return tuple(
        Measure(
            crop=row["crop"],
            names=tuple(name.strip() for name in row["names"].split(";")),
            measure=row["measure"],
            form=row["form"],
            pounds=_range(row["lb_low"], row["lb_high"]),
            quarts=_range(row["quarts_low"], row["quarts_high"]),
            source_id=row["source_id"],
        )
        for row in csv.DictReader(text.splitlines())
    )


def measures(food: str, measure: str = "bushel") -> tuple[Measure, ...]:
    """Every row for a food by any of its names, singular or plural, in the order of the table."""
    word = " ".join(food.lower().replace("-", " ").split())
    return tuple(row for row in _table() if row.measure == measure and word in row.names)


def weight_range(food: str, unit: str) -> tuple[Fraction, Fraction] | None:
    """Pounds in one `unit` of a food, least and most over all sources; None: none was read.

    `unit`: what the table has (bushel, lug, crate, flat, bag), or a share of a bushel (peck).
    """
    ranges = [row.pounds for row in measures(food, unit) if row.pounds]
    if ranges:
        return min(low for low, _ in ranges), max(high for _, high in ranges)
    share = convert(Fraction(1), unit, "bushel")
    whole = None if share is None or unit == "bushel" else weight_range(food, "bushel")
    return None if whole is None or share is None else (whole[0] * share, whole[1] * share)


def bushel_range(food: str) -> tuple[Fraction, Fraction] | None:
    """Pounds in a bushel of a food, least and most over all sources; None: none was read."""
    return weight_range(food, "bushel")
