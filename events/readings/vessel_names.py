"""One name for a vessel however it is written: "quart jars", "qt jar" and jars of 1 qt are one.

Sizes are equal by their measure, not by their words: a jar of half a pint is a half-pint jar. What
is not understood keeps its own words. No numbers of vessels here.
"""

import re
from fractions import Fraction

from events.kinds import Package
from events.quantity import UNITS, NotUnderstood, canonical_unit, grains, number, show

SIZES = ("gal", "half-gallon", "qt", "pt", "half-pint", "imp gal", "imp half-gallon", "imp qt",
         "imp pt", "imp half-pint", "l")  # fmt: skip
"""Measures that jars are called by; of others it is said how much one holds."""

REUSED = frozenset({"jar", "jug", "bottle", "crock", "bucket", "pail", "tub"})
"""What is kept and filled again: common practice, no source."""

ONE = {"lids": "lid", "bands": "band", "rings": "ring", "gaskets": "gasket", "clips": "clip",
       "absorbers": "absorber", "corks": "cork", "caps": "cap", "liners": "liner"}  # fmt: skip

NUMBERED = re.compile(r"([0-9]+(?:[./ ][0-9]+)*(?:/[0-9]+)?) ?([^0-9].*)")


def vessel_name(written: str) -> str:
    """The name that vessels are kept under; a bare size means jars of it."""
    text = " ".join(written.casefold().split())
    numbered = NUMBERED.fullmatch(text)
    if numbered and (content := _number(numbered[1])) is not None:
        of = vessel_name(numbered[2])
        size, _, vessel = of.rpartition(" ")
        if size in UNITS:
            return _sized(content, size, vessel)
    unit = canonical_unit(text)
    if unit is not None:
        known = UNITS.get(unit)
        return f"{unit} jar" if known is not None and known.dimension == "volume" else unit
    head, _, last = text.rpartition(" ")
    one = ONE.get(last) or canonical_unit(last) or last
    return f"{head} {one}".strip()


def package_name(package: Package) -> str:
    """The vessel that a lot stands in."""
    vessel = canonical_unit(package.vessel) or package.vessel.casefold()
    if package.content is None:
        return vessel
    content = _number(package.content)
    unit = canonical_unit(package.content_unit or "") or (package.content_unit or "")
    if content is None:
        return " ".join(f"{package.content} {unit} {vessel}".split())
    return _sized(content, unit, vessel)


def reused(name: str) -> bool:
    """Whether it comes back when it is empty."""
    return name.rpartition(" ")[2] in REUSED


def is_lid(name: str) -> bool:
    return name.rpartition(" ")[2] == "lid"


def _number(written: str) -> Fraction | None:
    try:
        return number(written)
    except NotUnderstood:
        return None


def _sized(content: Fraction, unit: str, vessel: str) -> str:
    measure = UNITS.get(unit)
    if measure is not None and measure.dimension == "volume":
        for name in SIZES:
            if UNITS[name].size == content * measure.size:
                return f"{name} {vessel}"
    return " ".join(f"{_shown(content)} {unit} {vessel}".split())


def _shown(content: Fraction) -> str:
    try:
        return show(grains(content))
    except ValueError:
        return str(content)
