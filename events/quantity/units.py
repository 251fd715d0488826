"""The units that people speak in, as exact numbers, and what they call them.

Mass, volume (US liquid, US dry, imperial, metric), multiples of pieces, lengths of a row in a bed,
and the vessels and pieces that are counted one by one. The rule: each measure follows exactly from a definition; nothing is
read from a rounded table. No unit here depends on a food: a bushel is a volume, and its weight is
in `bushels`.

Definitions: NIST SP 811 appendix B and NIST Handbook 44 appendix C (pound 453.59237 g, US gallon
231 cubic inches, US bushel 2150.42 cubic inches struck, inch 25.4 mm); Weights and Measures Act
1985 (imperial gallon 4.54609 L). Metric cups and spoons differ by country and are not read.
"""

import re
from collections.abc import Collection
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from events.kinds import GRAIN
from events.quantity.grid import show

Dimension = Literal["mass", "volume", "pieces", "length", "counted"]
System = Literal["us", "imperial"]


class Unit(Struct, frozen=True):
    """A unit: `size` in grams, millilitres, pieces or metres; 1 for what is counted one by one."""

    name: str
    dimension: Dimension
    size: Fraction
    words: tuple[str, ...] = ()
    """other ways to write it, singular and plural, in small letters"""


POUND = Fraction("453.59237")
GALLON = 231 * Fraction("2.54") ** 3
BUSHEL = Fraction("2150.42") * Fraction("2.54") ** 3
IMPERIAL = Fraction("4546.09")

_MASS = (
    ("g", Fraction(1), "gram grams gramme grammes gm gms"),
    ("kg", Fraction(1000), "kgs kilo kilos kilogram kilograms kilogramme kilogrammes"),
    ("tonne", Fraction(1_000_000), "tonnes"),
    ("lb", POUND, "lbs pound pounds #"),
    ("oz", POUND / 16, "ozs ounce ounces"),
    ("stone", POUND * 14, "stones st"),
)
_METRIC = (
    ("ml", Fraction(1), "mls millilitre millilitres milliliter milliliters"),
    ("cl", Fraction(10), "centilitre centilitres centiliter centiliters"),
    ("dl", Fraction(100), "decilitre decilitres deciliter deciliters"),
    ("l", Fraction(1000), "ltr ltrs litre litres liter liters"),
)
_LIQUID = (
    ("gal", Fraction(1), "gals gallon gallons"),
    ("half-gallon", Fraction(1, 2), "half-gallons"),
    ("qt", Fraction(1, 4), "qts quart quarts"),
    ("pt", Fraction(1, 8), "pts pint pints"),
    ("half-pint", Fraction(1, 16), "half-pints hp hps"),
    ("gill", Fraction(1, 32), "gills"),
)
_US_ONLY = (
    ("cup", GALLON / 16, "cups c"),
    ("fl-oz", GALLON / 128, "fl-ozs floz fluid-ounce fluid-ounces"),
    ("tbsp", GALLON / 256, "tbsps tbs tablespoon tablespoons"),
    ("tsp", GALLON / 768, "tsps teaspoon teaspoons"),
)
_DRY = (
    ("bushel", BUSHEL, "bushels bu bsh"),
    ("half-bushel", BUSHEL / 2, "half-bushels"),
    ("peck", BUSHEL / 4, "pecks"),
    ("half-peck", BUSHEL / 8, "half-pecks"),
)
_DRY_SMALL = (
    ("gal", BUSHEL / 8, "gals gallon gallons"),
    ("qt", BUSHEL / 32, "qts quart quarts"),
    ("pt", BUSHEL / 64, "pts pint pints"),
)
_PIECES = (
    ("piece", Fraction(1), "pieces pc pcs ea each ct count"),
    ("pair", Fraction(2), "pairs pr"),
    ("half-dozen", Fraction(6), "half-dozens"),
    ("dozen", Fraction(12), "dozens doz dz"),
    ("gross", Fraction(144), ""),
)
_ROWS = (
    ("ft", Fraction("0.3048"), "foot feet row-ft row-foot row-feet"),
    ("metre", Fraction(1), "metres meter meters row-metre row-metres"),
)
_COUNTED = """
    jar jug bottle can tin carton box case crate lug flat punnet basket tray bag sack packet pouch
    package tub bucket pail barrel crock drum bin roll rack shelf bundle bunch braid string rope wreath head
    ear bulb clove root tuber crown cob stalk stick sprig leaf egg loaf pie cake biscuit wheel round
    block bar slice puck cube brick joint roast fillet chop bird ham side portion serving meal
    batch row hill plant handful scoop spoonful mug bowl jelly squash pumpkin cabbage
"""
_ABBREVIATED = {"pkt": "packet", "pkts": "packet", "pack": "packet", "packs": "packet",
                "pkg": "package", "pkgs": "package",
                "btl": "bottle", "bx": "box", "bskt": "basket"}  # fmt: skip
_IRREGULAR = {"loaf": "loaves", "leaf": "leaves", "shelf": "shelves", "half": "halves",
              "potato": "potatoes", "tomato": "tomatoes", "dozen": "dozen", "gross": "gross",
              "stone": "stone"}  # fmt: skip
_INVARIABLE = re.compile(
    r"(?:(?:dry|imp) )?(?:g|kg|lb|oz|ml|cl|dl|l|gal|qt|pt|fl oz|tbsp|tsp|hp|ft)"
)
_IMPERIAL_SYSTEM = frozenset(
    ("gal", "half-gallon", "qt", "pt", "half-pint", "gill", "fl oz", "bushel", "half-bushel",
     "peck", "half-peck")
)  # fmt: skip
_NOT_IMPERIAL = frozenset(("cup", "tbsp", "tsp"))
_TWO_WAYS = {"pk": "a peck or a packet", "pks": "pecks or packets", "t": "a teaspoon or a tonne",
             "ton": "a short ton, a long ton or a tonne", "gr": "grams or grains",
             "tons": "short tons, long tons or tonnes", "m": "metres or thousands"}  # fmt: skip


def _defined() -> list[Unit]:
    units: list[Unit] = []

    def add(dimension: Dimension, prefix: str, name: str, size: Fraction, words: str) -> None:
        also = {name.replace("-", " "), *(word.replace("-", " ") for word in words.split())}
        own = "fl oz" if name == "fl-oz" else name
        units.append(Unit(prefix + own, dimension, size, tuple(sorted(prefix + w for w in also))))

    for name, size, words in _MASS:
        add("mass", "", name, size, words)
    for name, size, words in (*_METRIC, *_US_ONLY, *_DRY):
        add("volume", "", name, size, words)
    for name, part, words in _LIQUID:
        add("volume", "", name, part * GALLON, words)
        add("volume", "imp ", name, part * IMPERIAL, words)
    add("volume", "imp ", "fl-oz", IMPERIAL / 160, _US_ONLY[1][2])
    for name, size, words in _DRY:
        add("volume", "imp ", name, size / BUSHEL * 8 * IMPERIAL, words)
    for name, size, words in _DRY_SMALL:
        add("volume", "dry ", name, size, words)
    for name, size, words in _PIECES:
        add("pieces", "", name, size, words)
    for name, size, words in _ROWS:
        add("length", "", name, size, words)
    for name in _COUNTED.split():
        add("counted", "", name, Fraction(1), _plural(name))
    return units


def _plural(word: str) -> str:
    first, _, last = word.rpartition(" ")
    if last in _IRREGULAR:
        last = _IRREGULAR[last]
    elif re.search(r"(s|x|z|ch|sh)$", last):
        last += "es"
    elif re.search(r"[^aeiou]y$", last):
        last = f"{last[:-1]}ies"
    else:
        last += "s"
    return f"{first} {last}" if first else last


UNITS: dict[str, Unit] = {unit.name: unit for unit in _defined()}


@cache
def _by_word() -> dict[str, str]:
    words = {word: unit.name for unit in UNITS.values() for word in (unit.name, *unit.words)}
    return words | _ABBREVIATED


def _plain(word: str) -> str:
    """A unit as looked up: small letters, single spaces, no full stops, prefixes as we write them."""
    text = re.sub(r"[\s.]+", " ", word.strip().lower().replace("-", " ")).strip()
    text = re.sub(r"^(imperial|uk|british) ", "imp ", text)
    text = re.sub(r"^(us|u s|american) dry ", "dry ", text)
    return re.sub(r"^(us|u s|american|liquid|us liquid|us liq) ", "us ", text)


def two_ways(word: str) -> str | None:
    """What a word may mean where it has two meanings and is not read: "a peck or a packet"."""
    return _TWO_WAYS.get(_plain(word))


def canonical_unit(word: str, own_units: Collection[str] = (), system: System = "us") -> str | None:
    """The one name of a unit, or None where the word names none that is known.

    `own_units`: the household's own, which go first. `system` "imperial": a bare gallon, quart,
    pint, gill, fluid ounce, bushel and peck are imperial, and a bare cup or spoon is not read.
    "qt jars" is the counted unit "qt jar".
    """
    text = _plain(word)
    for own in own_units:
        if text in (_plain(own), _plural(_plain(own))):
            return own
    name = _by_word().get(text.removeprefix("us "))
    if name is None:
        return _sized_vessel(text, system)
    if text.startswith("us "):
        return name if UNITS[name].dimension == "volume" else None
    if system == "imperial":
        if name in _NOT_IMPERIAL:
            return None
        return f"imp {name}" if name in _IMPERIAL_SYSTEM else name
    return name


def _sized_vessel(text: str, system: System) -> str | None:
    """Quart jars are counted: the unit "qt jar"."""
    size, _, vessel = text.rpartition(" ")
    if not size:
        return None
    measure, counted = canonical_unit(size, (), system), _by_word().get(vessel)
    if measure is None or counted is None or UNITS[counted].dimension != "counted":
        return None
    if measure not in UNITS or UNITS[measure].dimension not in ("mass", "volume"):
        return None
    return f"{measure} {counted}"


def convert(n: Fraction, unit: str, to: str) -> Fraction | None:
    """`n` of `unit` in `to`, exact; None where the one is not a matter of the other.

    Both are canonical names. A dozen is twelve of whatever is counted one by one.
    """
    if unit == to:
        return n
    here, there = UNITS.get(unit, _own(unit)), UNITS.get(to, _own(to))
    alike = here.dimension == there.dimension != "counted"
    of_things = {here.dimension, there.dimension} == {"pieces", "counted"}
    if not alike and not (of_things and "piece" not in (unit, to)):
        return None
    return n * here.size / there.size


def _own(name: str) -> Unit:
    return Unit(name, "counted", Fraction(1))


def plural(unit: str, n: int) -> str:
    """`unit` as it is said with `n` grains of it: "jar" up to one, "jars" of more or none."""
    if 0 < n <= GRAIN or _INVARIABLE.fullmatch(unit):
        return unit
    return _plural(unit)


def show_amount(n: int, unit: str, low: int | None = None, high: int | None = None) -> str:
    """An amount in words: "7 qt", "1 jar", "about 26 (22-30) lb", "some bunches", "9 or more lb".

    All in grains; `low` None: exact; `high` None beside a `low`: nobody knows.
    """
    if low is None or low == n == high:
        return f"{show(n)} {plural(unit, n)}"
    if high is None:
        many = plural(unit, max(n, low, 0))
        if n <= low:
            return f"{show(low)} or more {many}" if low else _some(unit)
        return f"about {show(n)} ({show(low)} or more) {many}"
    if low == high:
        return f"about {show(n)} {plural(unit, n)}"
    return f"about {show(n)} ({show(low)}-{show(high)}) {plural(unit, high)}"


def _some(unit: str) -> str:
    return f"some ({unit})" if _INVARIABLE.fullmatch(unit) else f"some {_plural(unit)}"
