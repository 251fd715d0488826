"""The reference tables, read once into typed rows that nobody changes.

Facts as published, with the source of each (SOURCES.md). What a row means for a lot stands in
`events/keeping`; nothing here computes. `load` is the one read in all of `events`; `service`
calls it once at its start.
"""

import csv
from collections.abc import Iterator, Mapping
from importlib.resources import files
from typing import Literal, TypeAlias

from msgspec import Struct, convert

from events.tables import storing
from events.tables.storing import Q10, Curing, Limit, Neighbour

ReadAs: TypeAlias = Literal["original", "reprint", "second-hand", "memory"]
Acid: TypeAlias = Literal["low", "high", ""]


class Source(Struct, frozen=True, kw_only=True):
    """A publication, and how it was read."""

    source_id: str
    title: str
    publisher: str
    year: str
    table_or_page: str
    read_as: ReadAs

    @property
    def published(self) -> bool:
        """Read where it was printed or reprinted, so that its figures count as published."""
        return self.read_as in {"original", "reprint"}


class Keeping(Struct, frozen=True, kw_only=True):
    """How long a food keeps, one row of a published table.

    Temperatures in thousandths of a degree Celsius, humidity in per cent, life in days. An open or
    unprinted side is None.
    """

    food: str
    variety: str
    form: str
    packaging: str
    temp_low_milli: int | None
    temp_high_milli: int | None
    temp_as_printed: str
    rh_low_pct: int | None
    rh_high_pct: int | None
    life_low_days: int | None
    life_high_days: int | None
    life_as_printed: str
    basis: Literal["quality", "safety", "rancidity", "sprouting"]
    source_id: str
    note: str
    series: str


class FoodName(Struct, frozen=True, kw_only=True):
    """What people call a food: which foods of the tables that is, and its acid class.

    From memory and common knowledge, no source read.
    """

    name: str
    foods: tuple[str, ...]
    variety: str
    groups: tuple[str, ...]
    acid: Acid
    form: str


class Caution(Struct, frozen=True, kw_only=True):
    """What to say where a thing can hurt someone, in our own words.

    `source_id` and `quoted` blank: no source read.
    """

    key: str
    about: str
    """what can hurt: low-acid jars, a seal, mould"""
    caution: str
    brief: str
    """the same for a line of the digest; blank: said at a deed alone"""
    foods: tuple[str, ...]
    """words in the names of the foods that it is about, blank: goes by form or by what happened"""
    source_id: str
    quoted: str
    """whose it is said to be, where the publication was not read"""


class Tables(Struct, frozen=True, kw_only=True):
    """All tables, as `load` read them."""

    keeping: tuple[Keeping, ...]
    sources: Mapping[str, Source]
    foods: Mapping[str, FoodName]
    """by name, as `plain` spells it"""
    forms: Mapping[str, str]
    cautions: Mapping[str, Caution]
    q10: tuple[Q10, ...]
    limits: Mapping[str, tuple[Limit, ...]]
    neighbours: Mapping[str, tuple[Neighbour, ...]]
    curing: Mapping[str, tuple[Curing, ...]]


def plain(name: str) -> str:
    """A food's name as the tables spell it: small letters, single spaces, last word singular."""
    words = name.casefold().replace("-", " ").split()
    if not words:
        return ""
    words[-1] = _singular(words[-1])
    return " ".join(words)


def _singular(word: str) -> str:
    if len(word) < 4 or word.endswith("ss"):
        return word
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("oes", "ches", "shes", "sses", "xes")):
        return word[:-2]
    return word.removesuffix("s")


def _rows(name: str) -> Iterator[dict[str, str]]:
    text = files("events.tables").joinpath(name).read_text(encoding="utf-8")
    yield from csv.DictReader(text.splitlines())


def _whole(text: str) -> int | None:
    return int(text) if text else None


def _milli(degrees: str) -> int | None:
    """Thousandths of a degree from a decimal with at most three places, exactly."""
    if not degrees:
        return None
    whole, _, part = degrees.lstrip("-").partition(".")
    size = int(whole) * 1000 + int(part.ljust(3, "0"))
    return -size if degrees.startswith("-") else size


def _keeping(row: dict[str, str]) -> Keeping:
    return Keeping(
        food=row["food"],
        variety=row["variety"],
        form=row["form"],
        packaging=row["packaging"],
        temp_low_milli=_milli(row["temp_low_c"]),
        temp_high_milli=_milli(row["temp_high_c"]),
        temp_as_printed=row["temp_as_printed"],
        rh_low_pct=_whole(row["rh_low_pct"]),
        rh_high_pct=_whole(row["rh_high_pct"]),
        life_low_days=_whole(row["life_low_days"]),
        life_high_days=_whole(row["life_high_days"]),
        life_as_printed=row["life_as_printed"],
        basis=convert(row["basis"], Literal["quality", "safety", "rancidity", "sprouting"]),
        source_id=row["source_id"],
        note=row["note"],
        series=row["series"],
    )


def _several(text: str) -> tuple[str, ...]:
    return tuple(text.split(";")) if text else ()


def _food(row: dict[str, str]) -> FoodName:
    return FoodName(
        name=row["name"],
        foods=_several(row["foods"]),
        variety=row["variety"],
        groups=_several(row["groups"]),
        acid=convert(row["acid"], Acid),
        form=row["form"],
    )


def _caution(row: dict[str, str]) -> Caution:
    return convert({**row, "foods": _several(row["foods"])}, Caution)


def load() -> Tables:
    """Read every table of the package."""
    return Tables(
        keeping=tuple(_keeping(row) for row in _rows("keeping.csv")),
        sources={row["source_id"]: convert(row, Source) for row in _rows("sources.csv")},
        foods={plain(row["name"]): _food(row) for row in _rows("foods.csv")},
        forms={row["word"]: row["form"] for row in _rows("forms.csv")},
        cautions={row["key"]: _caution(row) for row in _rows("cautions.csv")},
        q10=storing.q10s(_rows("q10.csv")),
        limits=storing.limits(_rows("limits.csv")),
        neighbours=storing.neighbours(_rows("neighbours.csv")),
        curing=storing.curings(_rows("curing.csv")),
    )
