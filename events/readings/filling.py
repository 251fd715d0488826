"""How many vessels a staple fills: by the densities that are published, and by common practice apart.

What a food weighs in a vessel depends on how it settled, so every row answers by itself and nothing is
averaged. Whole vessels are reckoned to the brim, less the headroom that is asked for. The rule: no row
and no weighing of your own, no figure. It knows no stock and no crop; those are put up by `loads`.
"""

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil

from msgspec import Struct

from events.quantity import UNITS, Equal, NotUnderstood, canonical_unit, convert, equal, number
from events.tables.packing import Density, Packing, rows_for

PRACTICE = "memory"
"""The source of rows that are common practice and were read nowhere."""


class Vessel(Struct, frozen=True, kw_only=True):
    """What is filled: millilitres to the brim."""

    name: str
    ml: Fraction
    note: str = ""
    from_memory: bool = False


class Way(Struct, frozen=True, kw_only=True):
    """What one density comes to. Weights in grams, space in millilitres."""

    density: Fraction
    """grams a millilitre"""
    row: Density | None
    """None: the household's own weighing"""
    each: Fraction
    """what one vessel takes"""
    full: int
    left: Fraction
    """what goes into one more, not full; nought where the last is just full"""
    free: Fraction
    """millilitres that stay free in that last one, headroom counted"""

    @property
    def vessels(self) -> int:
        return self.full + (1 if self.left else 0)

    @property
    def practice(self) -> bool:
        return self.row is not None and self.row.source_id == PRACTICE


class Filling(Struct, frozen=True, kw_only=True):
    """An amount of a staple in vessels: every published way, then practice."""

    vessel: Vessel
    headroom: Fraction
    """the part of each that is kept free"""
    grams: Fraction
    ways: tuple[Way, ...]


def fill(
    grams: Fraction, vessel: Vessel, rows: Iterable[Density], headroom: Fraction = Fraction(0),
    own: Fraction | None = None,
) -> Filling:  # fmt: skip
    """So many grams into vessels by each density; `own`: the household's (g/ml), before all others."""
    found = [] if own is None else [_way(grams, vessel, headroom, own, None)]
    known = sorted(rows, key=lambda row: row.source_id == PRACTICE)
    found += [_way(grams, vessel, headroom, row.g_per_ml, row) for row in known]
    return Filling(vessel=vessel, headroom=headroom, grams=grams, ways=tuple(found))


def _way(
    grams: Fraction, vessel: Vessel, headroom: Fraction, density: Fraction, row: Density | None
) -> Way:  # fmt: skip
    each = vessel.ml * (1 - headroom) * density
    full = int(grams / each)
    left = grams - full * each
    free = vessel.ml - left / density if left else vessel.ml * headroom
    return Way(density=density, row=row, each=each, full=full, left=left, free=free)


def by_volume(
    ml: Fraction, vessel: Vessel, headroom: Fraction = Fraction(0)
) -> tuple[int, Fraction]:
    """Vessels that a volume fills, and the part of the last that is filled (1: just full)."""
    each = vessel.ml * (1 - headroom)
    count = ceil(ml / each)
    return count, ml / each - (count - 1)


def densities(names: Sequence[str], tables: Packing) -> list[Density]:
    """The rows for a food by the first of its names that has any."""
    return rows_for(tables.densities, names)


_NUMBERED = re.compile(r"#\s?[0-9]+|[0-9]+(?:[./][0-9]+)?|[a-z]+")
_KINDS = frozenset({"bucket", "pail", "jar", "jug", "bottle", "can", "tin", "tub", "bag", "pouch",
                    "canister", "box", "crock", "drum", "barrel", "bin"})  # fmt: skip


def vessel(typed: str, tables: Packing) -> Vessel:
    """A vessel as typed: "bucket-5gal", "5 gal buckets", "qt jars", "#10 can", "20 l tub".

    Raises:
        NotUnderstood: it names no size, or no vessel.
    """
    words = [_one(word) for word in _NUMBERED.findall(typed.casefold().replace("-", " "))]
    if "half" in words[:-1]:  # half gallon, half pint
        at = words.index("half")
        words[at : at + 2] = [f"half {words[at + 1]}"]
    kinds = [word for word in words if word in _KINDS]
    units = [unit for word in words if word not in _KINDS and (unit := _volume(word))]
    figures = [word for word in words if word[:1].isdigit()]
    known = {row.vessel: row for row in tables.vessels}
    sign = next((word for word in words if word.startswith("#")), None)
    if sign is not None and f"{sign} can" in known:
        row = known[f"{sign} can"]
        return Vessel(
            name=row.vessel, ml=row.ml, note=row.note, from_memory=row.source_id == PRACTICE
        )
    if len(kinds) > 1 or len(units) != 1 or len(figures) > 1:
        raise NotUnderstood(
            f'"{typed}" is no vessel with a size: write it like "5 gal bucket", "qt jar" or "20 l tub".'
        )
    n = number(figures[0]) if figures else Fraction(1)
    size = convert(n, units[0], "ml")
    if not size:
        raise NotUnderstood(f'"{typed}" holds nothing: write its size, like "5 gal bucket".')
    kind = kinds[0] if kinds else "vessel"
    name = f"{figures[0]} {units[0]} {kind}" if figures else f"{units[0]} {kind}"
    nominal = known.get(name)
    return Vessel(
        name=name, ml=nominal.ml if nominal else size, note=nominal.note if nominal else ""
    )


def _one(word: str) -> str:
    """A word for a vessel in the singular; others as they are."""
    for ending in ("", "s", "es"):
        bare = word.removesuffix(ending) if ending else word
        if bare in _KINDS:
            return bare
    return word


def _volume(word: str) -> str | None:
    name = canonical_unit(word)
    return (
        name if name is not None and UNITS.get(name) and UNITS[name].dimension == "volume" else None
    )


def weighed(typed: str) -> Fraction:
    """Grams a millilitre from a weighing: "1 qt = 1.3 lb".

    Raises:
        NotUnderstood: it is not a volume and a weight.
    """
    said: Equal = equal(typed)
    for (n, unit), (other_n, other) in (
        ((said.n, said.unit), (said.other_n, said.other_unit)),
        ((said.other_n, said.other_unit), (said.n, said.unit)),
    ):
        ml, grams = convert(n, unit, "ml"), convert(other_n, other, "g")
        if ml and grams:
            return grams / ml
    raise NotUnderstood(
        f'"{typed}" is no weighing: write a volume and its weight, like 1 qt = 1.3 lb.'
    )
