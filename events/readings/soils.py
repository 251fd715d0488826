"""What a household said of the soil of a bed, understood: normals, kind of soil, mulch, depth.

They are facts of the bed as a store, or of a store around it. Without normals no temperature is
made up: the bed then has none. What cannot be known to a figure stays a range, as several curves.
"""

import re
from collections.abc import Callable
from datetime import date
from typing import NoReturn

from msgspec import Struct

from events.dates import read as read_date
from events.edtf import date_of, span
from events.keeping.soil import Curve, at_depth, damping_depth, fit, misfit, passing, shifted
from events.quantity import NotUnderstood
from events.tables.beds import Beds

FACTS = ("soil_months", "soil", "mulch", "mulch_share", "root_depth")
"""The facts of a bed that are read here."""

CM = {"cm": 1.0, "in": 2.54, "inch": 2.54, "inches": 2.54}
ROOTS = 10.0
"""Centimetres down at which roots are taken to stand, where nobody says: our own choice."""

_FIGURE = r"-?[0-9]{1,3}(?:\.[0-9]{1,3})?"
_MONTHS = re.compile(
    rf"((?:{_FIGURE}[ ,;]+){{11}}{_FIGURE})[ ,;]*([cf])? at ([0-9]{{1,3}}) ?({'|'.join(CM)})",
    re.IGNORECASE,
)
_DEPTH = re.compile(rf"([0-9]{{1,3}}(?:\.[0-9])?) ?({'|'.join(CM)})", re.IGNORECASE)
_SHARE = re.compile(r"([0-9]{1,3}) ?%")
MONTHS_HOW = (
    "write twelve figures, January first, with where they were measured, as in "
    "soil_months=\"1 1 3 7 12 16 18 17 14 9 5 2 C at 10 cm\""
)  # fmt: skip


class Said(Struct, frozen=True, kw_only=True):
    """The soil of a bed at the depth of its roots."""

    curves: tuple[Curve, ...]
    """every way it may be: soils by the ends of their range, and so a mulch"""
    misfit: float
    """how far the wave lies from the normals, degrees, root of the mean square"""
    depth: float
    site: str
    """the site of the tables whose normals these are; "": the household's own"""
    mulch: str
    """as said; "" for bare ground"""
    mulch_by: str
    """what the mulch does rests on: the household's own word, or a source"""
    sources: tuple[str, ...]


def understood(fact: Callable[[str], str | None], tables: Beds) -> Said | None:
    """The soil of a bed from its facts; None where no normals were said.

    Raises:
        NotUnderstood: one sentence with what was read and how to write it.
    """
    said = {name: " ".join((fact(name) or "").split()) for name in FACTS}
    damp = _soil(said["soil"], tables)
    share = _share(said["mulch_share"])
    depth = _depth(said["root_depth"])
    if not said["soil_months"]:
        return None
    months, measured, site, source = _normals(said["soil_months"], tables)
    bare = fit(months, measured)
    curves = [at_depth(bare, depth, damping_depth(d)) for d in damp]
    sources = [source, *(row.source_id for row in tables.soils[:1])]
    mulch, by = said["mulch"], ""
    if share is not None:
        mulch, by = mulch or "mulch", "your own word"
        curves = [passing(curve, share) for curve in curves]
    elif mulch:
        cold, warm = tables.mulch["winter"], tables.mulch["summer"]
        by = cold.source_id
        sources.append(by)
        curves = [
            shifted(curve, coldest, warmest)
            for curve in curves
            for coldest in (cold.low, cold.high)
            for warmest in (warm.low, warm.high)
        ]
    return Said(curves=tuple(dict.fromkeys(curves)), misfit=misfit(bare, months), depth=depth,
                site=site, mulch=mulch, mulch_by=by,
                sources=tuple(one for one in sources if one))  # fmt: skip


def _soil(text: str, tables: Beds) -> tuple[float, float]:
    kinds = sorted({row.soil for row in tables.soils})
    if text and text.casefold() not in kinds:
        raise NotUnderstood(
            f"soil {text} is none known here: write {', '.join(kinds)}, or nothing."
        )
    return tables.damp(text.casefold())


def _normals(text: str, tables: Beds) -> tuple[tuple[float, ...], float, str, str]:
    """Months (C), the depth at which they were measured (cm), the site and its source."""
    site = tables.sites.get(text.casefold().replace(" ", "-"))
    if site is not None:
        return site.months, site.depth, site.site, site.source_id
    read = _MONTHS.fullmatch(text)
    if read is None:
        _not_months(text, f"{MONTHS_HOW}, or one of {', '.join(tables.sites)}")
    months = tuple(float(figure) for figure in re.split(r"[ ,;]+", read[1]))
    if (read[2] or "c").casefold() == "f":
        months = tuple((figure - 32) / 1.8 for figure in months)
    if not all(-60 <= figure <= 60 for figure in months):
        _not_months(text, "no soil is so hot or so cold: C or F behind the figures says which")
    return months, float(read[3]) * CM[read[4].casefold()], "", ""


def _not_months(text: str, how: str) -> NoReturn:
    raise NotUnderstood(f"soil_months {text} cannot be read: {how}.")


def _share(text: str) -> float | None:
    if not text:
        return None
    read = _SHARE.fullmatch(text)
    if read is None or int(read[1]) > 100:
        raise NotUnderstood(
            f"mulch_share {text} is no share: write how much of the swing of the temperature comes "
            "through, like 60 %."
        )
    return int(read[1]) / 100


def _depth(text: str) -> float:
    if not text:
        return ROOTS
    read = _DEPTH.fullmatch(text)
    if read is None:
        raise NotUnderstood(f"root_depth {text} is no depth: write it like 15 cm or 6 in.")
    return float(read[1]) * CM[read[2].casefold()]


def closed_on(typed: str, year: int) -> tuple[date, date]:
    """First and last day of a day or month as typed ("10 Dec", "Jan"), the next from that year on.

    Raises:
        NotUnderstood: it is no day or month, or has no end.
    """
    start, end = span(read_date(typed, date(year, 1, 1), ahead=True), 0)
    if start is None or end is None:
        raise NotUnderstood(f"{typed} is no day: write it like 10 Dec.")
    return date.fromisoformat(date_of(start, 0)), date.fromisoformat(date_of(end, 0))
