"""Vessels, jars and trays filled, as a person meets it at the console."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.book import Book
from service.errors import WrongUse
from service.looks.asked import Asked
from service.looks.filling import Typed, fill
from tests.console import Console


def test_a_sack_of_flour_three_ways_of_saying_it(lane: Console) -> None:
    said = lane.does("fill", "50 lb", "flour", "--into", "5 gal buckets")
    assert "50 lb flour into 5 gal buckets (18.9 l to the brim)" in said
    assert "3 buckets: 2 full with 22 lb each, left over 5.94 lb in one more" in said
    assert "as published: 125 g per cup, 0.528 g/ml" in said
    assert "2 buckets: 1 full with 25 lb each" in said
    assert "common practice, no source: settled in the sack" in said
    own = lane.does("fill", "50 lb", "flour", "--into", "bucket-5gal", "--weighs", "1 qt = 1.3 lb")
    assert own.index("by your own weighing") < own.index("as published")


def test_oats_into_buckets_as_data(lane: Console) -> None:
    found = lane.json("fill", "25 kg", "rolled oats", "--into", "bucket-5gal")
    (way,) = found["ways"]
    assert (way["vessels"], way["full"], way["rests_on"], way["source"]) == (
        4, 3, "published", "usda_sr26",
    )  # fmt: skip
    # 81 g a cup, 80 cups to 5 gallons: 6.48 kg a bucket
    assert way["each_g"] == pytest.approx(6480, rel=2e-3)
    assert way["full"] * way["each_g"] + way["left_g"] == pytest.approx(25_000, abs=0.5)
    kept = lane.json("fill", "25 kg", "rolled oats", "--into", "bucket-5gal", "--headroom", "5 %")
    assert kept["ways"][0]["vessels"] == 5


def test_a_bushel_into_jars_and_loads_with_the_usual_caution(lane: Console) -> None:
    said = lane.does("fill", "1 bushel", "tomatoes", "--into", "qt jars", "--form", "whole")
    assert "15-21 qt jars from 53 lb; 3 loads of 7 jars, 21 lb a load" in said
    assert "canned whole or halved (USDA)" in said
    assert "Low-acid jars count as unsafe without a known tested process" in said
    assert "Tested recipes and your extension service go before this list." in said
    found = lane.json("fill", "20 lb", "potatoes", "--into", "pt jars", "--jars-a-load", "16")
    (way,) = found["ways"]
    assert (way["jars"], way["loads"], way["pounds_a_load"]) == ([8, 8], [1, 1], None)


def test_apples_dried_in_loads_of_trays(lane: Console) -> None:
    said = lane.does(
        "fill", "20 lb", "apples", "--as", "dried", "--trays", "6", "--on-a-tray", "1.5 lb"
    )
    # 85.56 % water fresh and 3 % dried: 20 lb come to 2.98
    assert "2.98 lb" in said
    assert "3 loads of 6 trays, 1.5 lb fresh on each" in said
    assert "no proof that it is dry" in said
    bare = lane.does("fill", "20 lb", "strawberries", "--as", "freeze-dried")
    assert "1.81 lb of dry matter, and what water stays" in bare
    own = lane.json("fill", "20 lb", "strawberries", "--as", "freeze-dried", "--water", "5 %")
    assert own["comes_to_g"][0] == pytest.approx(20 * 453.59237 * 0.0905 / 0.95, abs=0.1)


def test_the_households_own_unit_and_other_name_are_heeded(lane: Console) -> None:
    lane.does("food", "add", "pin oats", "--also", "rolled oats", "--unit", "bag = 25 kg")
    (way,) = lane.json("fill", "1 bag", "pin oats", "--into", "5 gal bucket")["ways"]
    assert way["vessels"] == 4


def test_a_volume_is_filled_by_volume_alone(lane: Console) -> None:
    said = lane.does("fill", "2 bushels", "wheat berries", "--into", "6 gal bucket")
    assert "4 buckets, the last 10 % full: by volume alone" in said


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (("20 lb", "quinces", "--into", "qt jars"), "No density was read for quinces: weigh some"),
        (("20 lb", "quinces", "--as", "dried"), "No water content was read for fresh quinces"),
        (("20 lb", "tomatoes", "--into", "5 gal bucket"), "No density was read for tomatoes"),
        (("20 lb", "tomatoes", "--into", "qt jars", "--form", "jam"), 'No guide has tomatoes as "jam"'),
        (("1 sack", "flour", "--into", "qt jars"), "How much does one sack of flour weigh?"),
        (("20", "flour", "--into", "qt jars"), "is no weight or measure"),
        (("20 lb", "flour"), "Say one thing: --into a vessel"),
        (("20 lb", "flour", "--into", "qt jars", "--as", "dried"), "Say one thing"),
        (("20 lb", "flour", "--into", "a bucket"), "is no vessel with a size"),
        (("20 lb", "flour", "--into", "qt jars", "--headroom", "100 %"), "is no part"),
        (("20 lb", "flour", "--into", "qt jars", "--headroom", "much"), "is not a number"),
        (("20 lb", "flour", "--into", "qt jars", "--weighs", "1 lb = 2 lb"), "is no weighing"),
        (("20 lb", "apples", "--as", "smoked"), "is none of dried and freeze-dried"),
        (("20 lb", "apples", "--as", "dried", "--trays", "5"), "--trays and --on-a-tray go together"),
        (("20 lb", "apples", "--as", "dried", "--trays", "0", "--on-a-tray", "1 lb"), "is no number"),
        (("20 lb", "potatoes", "--into", "qt jars", "--jars-a-load", "many"), "is no number"),
        (("1 bushel", "potatoes", "--into", "qt jars"), "say it in pounds"),
        (("1 bushel", "turnips", "--into", "qt jars"), "No guide that was read has turnips in jars"),
        (("50 lb", "turnips", "--into", "pt jars"), "a tested recipe says how many pounds"),
        (("50 lb", "turnips", "--into", "5 gal bucket"), "No density was read for turnips"),
        (("some", "flour", "--into", "qt jars"), "is no weight or measure"),
    ],
)  # fmt: skip
def test_what_no_table_has_or_cannot_be_read_is_one_sentence(
    lane: Console, argv: tuple[str, ...], says: str
) -> None:
    assert says in lane.refuses("fill", *argv)


WORDS = st.sampled_from([
    "5 gal bucket", "qt jars", "#10 can", "0 l tub", "1/0 qt jar", "half", "pt", "50 lb", "1 bushel", "some",
    "3-4 lb", "about 60 lb", "1 qt = 1.3 lb", "1 qt = 0 lb", "0 qt = 1 lb", "5 %", "100 %", "-3", "9999999 tonnes",
    "0.0001 g", "dried", "freeze-dried", "6", "0", "7", "1 lug", "1 peck", "", "flour", "tomatoes", "apples",
    "potatoes", "whole", "\u0663", "1 gross", "2 ft",
])  # fmt: skip
OPTIONS = ("into", "headroom", "weighs", "form", "a_load", "becomes", "water", "trays", "on_a_tray")
TYPED = st.fixed_dictionaries(
    {"amount": WORDS, "food": WORDS}, optional=dict.fromkeys(OPTIONS, WORDS)
)


@given(TYPED)
def test_whatever_is_typed_there_is_an_answer_or_one_sentence(typed: dict[str, Any]) -> None:
    asked = Asked(book=Book(), now=0, zone="UTC", household="", clock=None)  # type: ignore[arg-type]
    answered = True
    try:
        said = str(fill(asked, Typed(**typed))["amount"])
    except WrongUse as wrong:
        answered, said = False, wrong.sentence
    assert said == typed["amount"] if answered else said.endswith((".", '"', ")"))
