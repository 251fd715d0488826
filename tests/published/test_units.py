"""Units against the figures that the standards print, typed in from them, and pint as referee.

SP 811: NIST Special Publication 811, Guide for the Use of the SI, appendix B (prints seven figures,
in cubic metres and kilograms). Handbook 44: NIST Handbook 44, appendix C. Act: Weights and Measures
Act 1985 of the United Kingdom, schedule 1.
"""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pint
import pytest

from events.quantity import UNITS, convert, grains, number, parse, show

SP_811_CUBIC_METRES = [
    ("bushel", "3.523907E-02"), ("peck", "8.809768E-03"), ("dry qt", "1.101221E-03"),
    ("dry pt", "5.506105E-04"), ("gal", "3.785412E-03"), ("imp gal", "4.54609E-03"),
    ("qt", "9.463529E-04"), ("pt", "4.731765E-04"), ("cup", "2.365882E-04"),
    ("fl oz", "2.957353E-05"), ("tbsp", "1.478676E-05"), ("tsp", "4.928922E-06"),
]  # fmt: skip


def one(unit: str, to: str) -> Fraction:
    value = convert(Fraction(1), unit, to)
    assert value is not None
    return value


@pytest.mark.parametrize(("unit", "printed"), SP_811_CUBIC_METRES)
def test_volumes_as_sp_811_prints_them(unit: str, printed: str) -> None:
    figures = Decimal(printed)
    last_place = Fraction(10) ** int(figures.as_tuple().exponent)
    cubic_metres = one(unit, "l") / 1000
    assert abs(cubic_metres - Fraction(figures)) <= last_place / 2


@pytest.mark.parametrize(
    ("unit", "grams"),
    [
        ("lb", "453.59237"),  # SP 811 B.8: pound (avoirdupois), exact
        ("oz", "28.349523125"),  # Handbook 44 appendix C: 1/16 of a pound
        ("stone", "6350.29318"),  # Act, schedule 1 part V: 14 pounds
        ("kg", "1000"),
        ("tonne", "1000000"),
    ],
)
def test_masses_are_exact(unit: str, grams: str) -> None:
    assert one(unit, "g") == Fraction(grams)


@pytest.mark.parametrize(
    ("unit", "millilitres"),
    [
        # Handbook 44 appendix C: the US gallon is 231 cubic inches, the inch 25.4 mm exactly
        ("gal", "3785.411784"),
        ("qt", "946.352946"),
        ("pt", "473.176473"),
        ("cup", "236.5882365"),
        ("gill", "118.29411825"),
        ("fl oz", "29.5735295625"),
        ("tbsp", "14.78676478125"),
        ("tsp", "4.92892159375"),
        # Handbook 44 appendix C: the US bushel is 2150.42 cubic inches, struck
        ("bushel", "35239.07016688"),
        ("peck", "8809.76754172"),
        ("dry gal", "4404.88377086"),
        ("dry qt", "1101.220942715"),
        ("dry pt", "550.6104713575"),
        # Act, schedule 1 part IV: the gallon is 4.54609 cubic decimetres exactly
        ("imp gal", "4546.09"),
        ("imp qt", "1136.5225"),
        ("imp pt", "568.26125"),
        ("imp gill", "142.0653125"),
        ("imp fl oz", "28.4130625"),
        ("imp bushel", "36368.72"),
        ("imp peck", "9092.18"),
    ],
)
def test_volumes_follow_exactly_from_their_definitions(unit: str, millilitres: str) -> None:
    assert one(unit, "ml") == Fraction(millilitres)


@pytest.mark.parametrize(
    ("unit", "count", "part"),
    [
        # Handbook 44 appendix C, units of liquid and of dry volume
        ("gal", 4, "qt"), ("gal", 8, "pt"), ("gal", 16, "cup"), ("gal", 32, "gill"),
        ("gal", 128, "fl oz"), ("gal", 256, "tbsp"), ("gal", 768, "tsp"), ("gal", 16, "half-pint"),
        ("bushel", 4, "peck"), ("bushel", 32, "dry qt"), ("bushel", 64, "dry pt"),
        ("lb", 16, "oz"),
        # Act, schedule 1
        ("imp gal", 4, "imp qt"), ("imp gal", 8, "imp pt"), ("imp gal", 160, "imp fl oz"),
        ("imp pt", 20, "imp fl oz"), ("imp pt", 4, "imp gill"), ("stone", 14, "lb"),
        ("dozen", 12, "piece"), ("gross", 144, "piece"),
    ],
)  # fmt: skip
def test_how_many_go_into_one(unit: str, count: int, part: str) -> None:
    assert one(unit, part) == count


@pytest.mark.parametrize(
    ("unit", "to", "ratio"),
    [("imp gal", "gal", "1.20095"), ("dry qt", "qt", "1.16365")],
)
def test_three_quarts_that_are_not_one(unit: str, to: str, ratio: str) -> None:
    assert round(one(unit, to), 5) == Fraction(ratio)


def test_a_jar_an_imperial_quart_and_a_quart_of_berries() -> None:
    quarts = [parse(said).unit or "" for said in ("1 qt", "1 imperial qt", "1 US dry qt")]
    litres = [one(unit, "l").numerator / Decimal(one(unit, "l").denominator)
              for unit in quarts]  # fmt: skip
    to_six = [litre.quantize(Decimal("1E-6"), ROUND_HALF_UP) for litre in litres]
    assert to_six == [Decimal("0.946353"), Decimal("1.136523"), Decimal("1.101221")]


PINT_NAMES = {
    "g": "gram", "kg": "kilogram", "tonne": "metric_ton", "lb": "pound", "oz": "ounce",
    "stone": "stone", "ml": "milliliter", "cl": "centiliter", "dl": "deciliter", "l": "liter",
    "gal": "gallon", "qt": "quart", "pt": "pint", "gill": "gill", "cup": "cup",
    "fl oz": "fluid_ounce", "tbsp": "tablespoon", "tsp": "teaspoon", "bushel": "bushel",
    "peck": "peck", "dry gal": "dry_gallon", "dry qt": "dry_quart", "dry pt": "dry_pint",
    "imp gal": "imperial_gallon", "imp qt": "imperial_quart", "imp pt": "imperial_pint",
    "imp gill": "imperial_gill", "imp fl oz": "imperial_fluid_ounce",
    "imp bushel": "imperial_bushel", "imp peck": "imperial_peck",
}  # fmt: skip
HALVES = ("half-gallon", "half-pint", "half-bushel", "half-peck")


def test_pint_says_the_same_of_every_measure() -> None:
    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
    for name, theirs in PINT_NAMES.items():
        base = "g" if UNITS[name].dimension == "mass" else "ml"
        amount = registry.Quantity(Fraction(1), theirs).to(PINT_NAMES[base])
        assert amount.magnitude == one(name, base), name


def test_pint_was_asked_about_every_measure() -> None:
    measures = {u.name for u in UNITS.values() if u.dimension in ("mass", "volume")}
    halves = {name for name in measures if name.removeprefix("imp ") in HALVES}
    assert measures == set(PINT_NAMES) | halves
    for name in halves:
        whole = {"half-gallon": "gal", "half-pint": "pt"}.get(name.removeprefix("imp "))
        prefix = "imp " if name.startswith("imp ") else ""
        unit = prefix + (whole or name.removeprefix("imp ").removeprefix("half-"))
        assert one(name, unit) == Fraction(1, 2)


def test_a_quart_in_the_books_is_a_quart_again() -> None:
    quarts = grains(number("34 1/2"))
    assert show(quarts) == "34 1/2"
