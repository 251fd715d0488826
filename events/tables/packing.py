"""The tables about packing: densities of staples, vessels, pounds a quart and a load, water in food.

Facts as published, a source in every row (SOURCES.md); a row of common practice has the source
`memory` and is never said to be published. Nothing here computes; read once.
"""

import csv
from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Protocol, TypeAlias, TypeVar

from msgspec import Struct

from events.tables import plain

Range: TypeAlias = tuple[Fraction, Fraction]


class Named(Protocol):
    """A row that is about a food under several names."""

    @property
    def names(self) -> tuple[str, ...]:
        """As `plain` spells them."""


N = TypeVar("N", bound=Named)


class Density(Struct, frozen=True, kw_only=True):
    """Grams in a millilitre of a food as it lies in a vessel."""

    food: str
    names: tuple[str, ...]
    g_per_ml: Fraction
    as_printed: str
    source_id: str
    note: str


class Vessel(Struct, frozen=True, kw_only=True):
    """A vessel whose name does not say all: millilitres to the brim."""

    vessel: str
    ml: Fraction
    source_id: str
    note: str


class Yield(Struct, frozen=True, kw_only=True):
    """A crop in jars: pounds a bushel, pounds a quart, pounds in a canner load; None: not printed."""

    crop: str
    names: tuple[str, ...]
    form: str
    bushel: Range | None
    quart: Range | None
    load_7_quarts: Fraction | None
    load_9_pints: Fraction | None
    quarts_a_bushel: Range | None
    source_id: str
    note: str


class Water(Struct, frozen=True, kw_only=True):
    """Water in a food, parts of its weight: fresh, dried or freeze-dried."""

    food: str
    names: tuple[str, ...]
    form: str
    part: Fraction
    source_id: str


class Packing(Struct, frozen=True, kw_only=True):
    """All of them."""

    densities: tuple[Density, ...]
    vessels: tuple[Vessel, ...]
    yields: tuple[Yield, ...]
    waters: tuple[Water, ...]


def rows_for(rows: Iterable[N], names: Sequence[str]) -> list[N]:
    """The rows for a food by the first of its names that any row has."""
    known = list(rows)
    for name in names:
        word = plain(name)
        found = [row for row in known if word in row.names]
        if found:
            return found
    return []


def _rows(name: str) -> list[dict[str, str]]:
    text = files("events.tables").joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _names(row: dict[str, str]) -> tuple[str, ...]:
    return tuple(plain(name) for name in row["names"].split(";"))


def _range(row: dict[str, str], field: str) -> Range | None:
    low, high = row[f"{field}_low"], row[f"{field}_high"]
    return (Fraction(low), Fraction(high)) if low and high else None


def _figure(text: str) -> Fraction | None:
    return Fraction(text) if text else None


@cache
def packing() -> Packing:
    """Read them."""
    return Packing(
        densities=tuple(
            Density(food=row["food"], names=_names(row), g_per_ml=Fraction(row["g_per_ml"]),
                    as_printed=row["as_printed"], source_id=row["source_id"], note=row["note"])
            for row in _rows("density.csv")
        ),
        vessels=tuple(
            Vessel(vessel=row["vessel"], ml=Fraction(row["volume_ml"]),
                   source_id=row["source_id"], note=row["note"])
            for row in _rows("vessels.csv")
        ),
        yields=tuple(
            Yield(crop=row["crop"], names=_names(row), form=row["form"],
                  bushel=_range(row, "lb_per_bushel"), quart=_range(row, "lb_per_quart"),
                  load_7_quarts=_figure(row["lb_per_7_quart_load"]),
                  load_9_pints=_figure(row["lb_per_9_pint_load"]),
                  quarts_a_bushel=_range(row, "quarts_per_bushel"),
                  source_id=row["source_id"], note=row["note"])
            for row in _rows("yields.csv")
        ),
        waters=tuple(
            Water(food=row["food"], names=_names(row), form=row["form"],
                  part=Fraction(row["water_pct"]) / 100, source_id=row["source_id"])
            for row in _rows("water.csv")
        ),
    )  # fmt: skip
