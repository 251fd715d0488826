"""What a bushel of a crop weighs and gives, against the guides, typed in from them.

Fruits and vegetables by the bushel are sold and put up by volume; each guide gives the weight it
reckons with, and they differ. USDA: Complete Guide to Home Canning, Agriculture Information Bulletin
539. UGA: University of Georgia Extension, as reprinted: "Approximate Yields" (2006) and "Weights and
Approximate Processed Yields", table 2. MSU: Michigan State University Extension, Home Horticulture
01701369 (1996). MU: University of Missouri Extension (1961).
"""

import csv
from fractions import Fraction
from importlib.resources import files

import pytest

from events.quantity import bushel_range, convert, measures, weight_range
from events.quantity.bushels import Measure


def pair(least: int | Fraction, most: int | Fraction) -> tuple[Fraction, Fraction]:
    return Fraction(least), Fraction(most)


def rows(food: str, source_id: str, measure: str = "bushel") -> list[Measure]:
    return [row for row in measures(food, measure) if row.source_id == source_id]


@pytest.mark.parametrize(
    ("food", "source_id", "pounds", "quarts"),
    [
        ("green beans", "aib539_beans", (30, 30), (12, 20)),  # USDA, Guide 4
        ("green beans", "mu_1961", (30, 30), (12, 22)),  # MU
        ("beets", "aib539_beets", (52, 52), (15, 20)),  # USDA, Guide 4
        ("beets", "msu_weights", (52, 52), (17, 20)),  # MSU
        ("tomatoes", "aib539_tomato", (53, 53), (15, 21)),  # USDA, Guide 3
        ("apples", "aib539_apple", (48, 48), (16, 19)),  # USDA, Guide 2: sliced
        ("apples", "aib539_applesauce", (48, 48), (14, 19)),  # USDA, Guide 2: sauce
        ("apples", "uga_weights", (42, 48), (15, 18)),  # UGA, table 2: sauce
        ("sweet corn", "aib539_corn", (35, 35), (6, 11)),  # USDA, Guide 4: in husk
        ("cherries", "uga_yields", (56, 56), (22, 32)),  # UGA: unpitted
        ("grapes", "uga_yields", (48, 48), (10, 12)),  # UGA
        ("peaches", "uga_yields", (50, 50), (19, 25)),  # UGA
        ("peaches", "uga_weights", (48, 52), (18, 24)),  # UGA, table 2
        ("peaches", "mu_1961", (48, 48), (16, 25)),  # MU
        ("pears", "uga_weights", (48, 50), (20, 25)),  # UGA, table 2
        ("pears", "mu_1961", (50, 50), (16, 30)),  # MU
        ("plums", "uga_yields", (56, 56), (24, 30)),  # UGA
        ("plums", "uga_weights", (50, 56), (24, 30)),  # UGA, table 2
        ("asparagus", "msu_weights", (45, 45), (11, 18)),  # MSU
    ],
)
def test_a_bushel_as_the_guides_print_it(
    food: str, source_id: str, pounds: tuple[int, int], quarts: tuple[int, int]
) -> None:
    assert (pair(*pounds), pair(*quarts)) in [
        (row.pounds, row.quarts) for row in rows(food, source_id)
    ]


@pytest.mark.parametrize(
    ("food", "measure", "source_id", "pounds", "quarts"),
    [
        ("apricots", "lug", "uga_yields", (24, 24), (9, 12)),  # UGA: a 24-pound lug
        ("berries", "crate", "uga_yields", (36, 36), (12, 18)),  # UGA: a 36-pound crate
        ("asparagus", "crate", "aib539_asparagus", (31, 31), (7, 12)),  # USDA, Guide 4
        ("potatoes", "bag", "aib539_potato", (50, 50), (8, 12)),  # USDA, Guide 4
        ("blueberries", "flat", "msu_weights", (9, 9), (3, 4)),  # MSU: a 9-pound flat
    ],
)
def test_lugs_and_crates_as_the_guides_print_them(
    food: str, measure: str, source_id: str, pounds: tuple[int, int], quarts: tuple[int, int]
) -> None:
    assert [(r.pounds, r.quarts) for r in rows(food, source_id, measure)] == [
        (pair(*pounds), pair(*quarts))
    ]


@pytest.mark.parametrize(
    ("food", "least", "most"),
    [("tomatoes", 53, 53), ("apple", 42, 48), ("Peaches", 48, 52), ("green beans", 30, 30),
     ("pears", 48, 50), ("plum", 50, 56)],
)  # fmt: skip
def test_the_weight_of_a_bushel_is_a_range_over_the_guides(
    food: str, least: int, most: int
) -> None:
    assert bushel_range(food) == (Fraction(least), Fraction(most))


def test_a_peck_is_a_quarter_of_it() -> None:
    assert weight_range("apples", "peck") == pair(Fraction(21, 2), 12)
    assert weight_range("apples", "half-bushel") == pair(21, 24)


def test_two_bushels_of_tomatoes_give_thirty_to_forty_two_quarts() -> None:
    [row] = rows("tomatoes", "aib539_tomato")
    assert row.quarts is not None
    assert [2 * quarts for quarts in row.quarts] == [30, 42]


def test_without_a_source_there_is_no_weight() -> None:
    assert bushel_range("medlars") is None
    assert weight_range("peaches", "lug") is None
    assert weight_range("medlars", "peck") is None
    assert weight_range("tomatoes", "jar") is None
    assert convert(Fraction(1), "bushel", "lb") is None


def test_every_row_names_a_source_that_was_read() -> None:
    text = files("events").joinpath("tables", "sources.csv").read_text(encoding="utf-8")
    read_as = {row["source_id"]: row["read_as"] for row in csv.DictReader(text.splitlines())}
    table = files("events").joinpath("tables", "bushels.csv").read_text(encoding="utf-8")
    used = [row["source_id"] for row in csv.DictReader(table.splitlines())]
    assert used
    for source_id in used:
        assert read_as[source_id] in ("original", "reprint"), source_id
