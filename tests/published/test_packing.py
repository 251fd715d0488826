"""Densities, vessels, yields and water against their publications, typed in; pint as referee of units.

SR: National Nutrient Database for Standard Reference, USDA Agricultural Research Service (2013), weights
of a cup and water in 100 g. FCIC: USDA standard bushel weights, FCIC-25010 (2001), page 158. MU: University
of Missouri Extension, G4020. AIB 539: Complete Guide to Home Canning, USDA (1994), read in a reprint. UGA:
University of Georgia Extension, approximate yields (2006) and weights, table 2. Handbook 44: NIST, appendix C.
"""

from fractions import Fraction
from math import ceil

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.quantity import convert
from events.readings.filling import densities, fill, vessel
from events.readings.loads import dried, in_jars, yields
from events.tables import load
from events.tables.packing import packing

KNOWN = packing()
UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()
POUND = Fraction("453.59237")


@pytest.mark.parametrize(
    ("food", "grams_a_cup"),
    [
        ("white flour", 125), ("bread flour", 137), ("whole wheat flour", 120), ("wheat berries", 192),
        ("soft wheat", 168), ("white rice", 185), ("brown rice", 185), ("rolled oats", 81),
        ("oat groats", 156), ("pinto beans", 193), ("black beans", 194), ("kidney beans", 184),
        ("navy beans", 208), ("lentils", 192), ("split peas", 197), ("chickpeas", 200), ("sugar", 200),
        ("brown sugar", 220), ("icing sugar", 120), ("salt", 292), ("cornmeal", 122), ("honey", 339),
        ("dry milk", 120), ("instant dry milk", 68), ("macaroni", 105), ("pearl barley", 200),
        ("olive oil", 216), ("almonds", 143), ("walnuts", 117),
    ],
)  # fmt: skip
def test_a_cup_of_a_staple_as_sr_weighs_it(food: str, grams_a_cup: int) -> None:
    (row,) = [row for row in densities([food], KNOWN) if row.source_id == "usda_sr26"]
    cup = UNITS.Quantity(1, UNITS.cup).to(UNITS.ml).magnitude
    assert float(row.g_per_ml) == pytest.approx(grams_a_cup / cup, abs=5.1e-4)
    assert row.as_printed == f"{grams_a_cup} g per cup"


@pytest.mark.parametrize(
    ("food", "pounds", "source_id"),
    [
        ("wheat", 60, "usda_fcic"), ("maize", 56, "usda_fcic"), ("soybeans", 60, "usda_fcic"),
        ("cornmeal", 50, "usda_fcic"), ("barley in the hull", 48, "usda_fcic"),
        ("oats in the hull", 32, "usda_fcic"), ("rye", 56, "mu_g4020"), ("cowpeas", 60, "mu_g4020"),
        ("millet", 50, "mu_g4020"),
    ],
)  # fmt: skip
def test_a_standard_bushel_over_the_struck_bushel(food: str, pounds: int, source_id: str) -> None:
    (row,) = [row for row in densities([food], KNOWN) if row.source_id == source_id]
    bushel = (
        2150.42 * UNITS.Quantity(1, UNITS.inch**3).to(UNITS.ml).magnitude
    )  # Handbook 44: struck
    pound = UNITS.Quantity(1, UNITS.pound).to(UNITS.gram).magnitude
    assert float(row.g_per_ml) == pytest.approx(pounds * pound / bushel, abs=6e-4)


@pytest.mark.parametrize("gallons", [2, 5, 6])
def test_a_bucket_is_its_gallons_to_the_brim(gallons: int) -> None:
    one = vessel(f"{gallons} gallon bucket", KNOWN)
    theirs = UNITS.Quantity(gallons, UNITS.gallon).to(UNITS.ml).magnitude
    assert float(one.ml) == pytest.approx(theirs, abs=0.06)  # printed to a tenth of a millilitre


@pytest.mark.parametrize(
    ("typed", "unit"), [("qt jars", "quart"), ("pt", "pint"), ("half-pint jar", "cup")]
)
def test_a_jar_is_its_measure(typed: str, unit: str) -> None:
    assert float(vessel(typed, KNOWN).ml) == pytest.approx(
        UNITS.Quantity(1, unit).to(UNITS.ml).magnitude
    )


def test_fifty_pounds_of_flour_fill_three_buckets_by_the_published_cup() -> None:
    # SR: 125 g a cup; 50 lb / 125 g = 181.4 cups; a 5-gallon bucket is 80 cups
    assert ceil(50 * 453.59237 / 125 / 80) == 3
    found = fill(50 * POUND, vessel("5 gal bucket", KNOWN), densities(["white flour"], KNOWN))
    published = [way for way in found.ways if not way.practice]
    assert [way.vessels for way in published] == [3]
    assert [way.row.source_id for way in published if way.row] == ["usda_sr26"]


@pytest.mark.parametrize(
    ("food", "form", "a_quart", "a_load_of_7_quarts", "a_load_of_9_pints", "source_id"),
    [
        ("green beans", "pieces", 2, 14, 9, "aib539_beans"),
        ("beets", "tops off", 3, 21, Fraction(27, 2), "aib539_beets"),
        ("tomatoes", "whole", 3, 21, 13, "aib539_tomato"),
        ("apples", "slices", Fraction(11, 4), 19, Fraction(49, 4), "aib539_apple"),
        ("applesauce", "sauce", 3, 21, Fraction(27, 2), "aib539_applesauce"),
        ("potatoes", "cubed", 5, 35, Fraction(45, 2), "aib539_potato"),
        ("winter squash", "cubed", Fraction(9, 4), 16, 10, "aib539_squash"),
        ("sweet corn", "kernel", Fraction(9, 2), Fraction(63, 2), 20, "aib539_corn"),
        ("asparagus", "spears", Fraction(7, 2), Fraction(49, 2), 16, "aib539_asparagus"),
    ],
)
def test_pounds_a_quart_and_a_load_by_the_usda_guide(
    food: str, form: str, a_quart: Fraction, a_load_of_7_quarts: Fraction,
    a_load_of_9_pints: Fraction, source_id: str,
) -> None:  # fmt: skip
    (row,) = [row for row in yields([food], KNOWN, form) if row.source_id == source_id]
    assert row.quart == (a_quart, a_quart)
    assert (row.load_7_quarts, row.load_9_pints) == (a_load_of_7_quarts, a_load_of_9_pints)


@pytest.mark.parametrize(
    ("food", "form", "bushel", "quarts"),
    [
        ("tomatoes", "whole", 53, (15, 21)),  # AIB 539, Guide 3
        ("tomatoes", "juice", 53, (12, 16)),  # UGA
        ("peaches", "canned or frozen", 50, (19, 25)),  # UGA
        ("plums", "canned or frozen", 56, (24, 30)),  # UGA
        ("pears", "canned or frozen", 50, (20, 25)),  # UGA
        ("cherries", "unpitted", 56, (22, 32)),  # UGA
        ("grapes", "canned", 48, (10, 12)),  # UGA
    ],
)
def test_a_bushel_in_quart_jars(food: str, form: str, bushel: int, quarts: tuple[int, int]) -> None:
    quart = vessel("qt jar", KNOWN)
    found = in_jars(None, Fraction(1), quart.ml, yields([food], KNOWN, form))
    assert (quarts, (Fraction(bushel), Fraction(bushel))) in [
        (one.jars, one.pounds) for one in found
    ]


@pytest.mark.parametrize(
    ("food", "form", "percent"),
    [
        ("potatoes", "fresh", "79.34"), ("carrots", "fresh", "88.29"), ("apples", "fresh", "85.56"),
        ("tomatoes", "fresh", "94.52"), ("strawberries", "fresh", "90.95"), ("leeks", "fresh", "83"),
        ("onions", "fresh", "89.11"), ("apricots", "fresh", "86.35"), ("green beans", "fresh", "90.32"),
        ("eggs", "fresh", "76.15"), ("leeks", "freeze-dried", "2"), ("apples", "dried", "3"),
        ("tomatoes", "dried", "14.56"), ("carrots", "dried", "4"), ("onions", "dried", "3.93"),
    ],
)  # fmt: skip
def test_water_as_sr_prints_it(food: str, form: str, percent: str) -> None:
    found = dried((Fraction(1), Fraction(1)), [food], KNOWN, form if form != "fresh" else "dried")
    assert found is not None
    row = found.water if form == "fresh" else found.by
    assert row is not None
    assert (row.part, row.source_id) == (Fraction(percent) / 100, "usda_sr26")


def test_a_hundred_of_apples_dried_by_their_water() -> None:
    # 14.44 of 100 is dry matter; with 3 % of water that is 14.886…
    found = dried((Fraction(100), Fraction(100)), ["apples"], KNOWN, "dried")
    assert found is not None
    assert float(found.comes_to[0]) == pytest.approx(14.44 / 0.97)


def test_rows_of_the_packing_tables_are_published_but_for_a_few_told_as_such() -> None:
    sources = load().sources
    rows = [
        *((row.food, row.source_id) for row in KNOWN.densities),
        *((row.food, row.source_id) for row in KNOWN.waters),
        *((row.vessel, row.source_id) for row in KNOWN.vessels),
        *((row.crop, row.source_id) for row in KNOWN.yields),
    ]
    unread = [(name, source) for name, source in rows if not sources[source].published]
    assert unread == [
        ("white-flour", "memory"), ("#10 can", "memory"), ("carrot", "aib539_carrots"),
    ]  # fmt: skip


@given(st.fractions(min_value=Fraction(3, 5), max_value=Fraction(119, 100)))
def test_two_buckets_take_the_flour_at_six_tenths_or_more(density: Fraction) -> None:
    """Common practice has it settled so in the sack; nothing published says it, this is arithmetic."""
    found = fill(50 * POUND, vessel("5 gal bucket", KNOWN), [], own=density)
    assert [way.vessels for way in found.ways] == [2]
    litres = convert(Fraction(10), "gal", "l") or 0
    assert density * litres * 1000 >= 50 * POUND * Fraction("0.999")
