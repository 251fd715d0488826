"""Rows about food in store: what warmth costs, what cold hurts, who harms whom, how a crop is cured.

Facts as published, each with its source; what they mean for a lot stands in `events/keeping` and
`events/readings`. Rows of the source "memory" are common knowledge that was not read anywhere, and
whoever says one says so.
"""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Literal, TypeAlias

from msgspec import Struct, convert

Harm: TypeAlias = Literal["freezing", "chilling", "sprouting"]
Role: TypeAlias = Literal["producer", "sensitive", "odor"]


class Q10(Struct, frozen=True, kw_only=True):
    """How many times faster keeping life is used at 10 degrees Celsius more, within a band.

    `foods`: a food of the tables, `fresh-produce` or `dried-fruit`.
    """

    foods: str
    low: Fraction
    high: Fraction
    from_milli: int
    to_milli: int
    """thousandths of a degree Celsius"""
    source_id: str
    note: str


class Limit(Struct, frozen=True, kw_only=True):
    """A temperature in store at which a crop freezes, is chilled (below), or sprouts (above)."""

    food: str
    harm: Harm
    milli: int
    """thousandths of a degree Celsius"""
    source_id: str
    note: str


class Neighbour(Struct, frozen=True, kw_only=True):
    """A food that gives off ethylene, suffers from it, or gives off a smell that others take up."""

    food: str
    role: Role
    level: str
    source_id: str
    note: str


class Curing(Struct, frozen=True, kw_only=True):
    """How warm and for how many days a crop is cured before it is stored; None: not printed."""

    food: str
    low_milli: int | None
    high_milli: int | None
    days_low: Fraction | None
    days_high: Fraction | None
    source_id: str
    note: str


def q10s(rows: Iterator[dict[str, str]]) -> tuple[Q10, ...]:
    return tuple(
        Q10(
            foods=row["foods"],
            low=Fraction(row["q10_low"]),
            high=Fraction(row["q10_high"]),
            from_milli=round(Fraction(row["temp_low_c"]) * 1000),
            to_milli=round(Fraction(row["temp_high_c"]) * 1000),
            source_id=row["source_id"],
            note=row["note"],
        )
        for row in rows
    )


def limits(rows: Iterator[dict[str, str]]) -> Mapping[str, tuple[Limit, ...]]:
    """By food."""
    found: dict[str, tuple[Limit, ...]] = {}
    for row in rows:
        limit = Limit(
            food=row["food"],
            harm=convert(row["harm"], Harm),
            milli=round(Fraction(row["temp_c"]) * 1000),
            source_id=row["source_id"],
            note=row["note"],
        )
        found[limit.food] = (*found.get(limit.food, ()), limit)
    return found


def neighbours(rows: Iterator[dict[str, str]]) -> Mapping[str, tuple[Neighbour, ...]]:
    """By food."""
    found: dict[str, tuple[Neighbour, ...]] = {}
    for row in rows:
        one = convert(row, Neighbour)
        found[one.food] = (*found.get(one.food, ()), one)
    return found


def curings(rows: Iterator[dict[str, str]]) -> Mapping[str, tuple[Curing, ...]]:
    """By food."""
    found: dict[str, tuple[Curing, ...]] = {}
    for row in rows:
        low, high = _degrees(row["cure_temp_low_c"]), _degrees(row["cure_temp_high_c"])
        curing = Curing(
            food=row["crop"],
            low_milli=low,
            high_milli=high,
            days_low=_days(row["cure_days_low"]),
            days_high=_days(row["cure_days_high"]),
            source_id=row["source_id"],
            note=row["note"],
        )
        found[curing.food] = (*found.get(curing.food, ()), curing)
    return found


def _degrees(text: str) -> int | None:
    return round(Fraction(text) * 1000) if text else None


def _days(text: str) -> Fraction | None:
    return Fraction(text) if text else None
