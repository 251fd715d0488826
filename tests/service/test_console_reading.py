"""Thermometer and hygrometer at the console: what is read, kept and told back."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.console.reading import COLDEST, HOTTEST, Read, shown, understood
from service.errors import WrongUse
from tests.console import Console


def last(lane: Console) -> dict[str, Any]:
    record: dict[str, Any] = json.loads(lane.log().splitlines()[-1])["record"]
    return record


@pytest.mark.parametrize(
    ("typed", "milli", "permille"),
    [
        ("4 C", 4000, None), ("4C", 4000, None), ("39 F", 3889, None), ("39°F", 3889, None),
        ("3.5 degrees celsius", 3500, None), ("3½ °C", 3500, None), ("-18 C", -18000, None),
        ("minus 18 c", -18000, None), ("\u221218 °C", -18000, None), ("0 F", -17778, None),
        ("65 %", None, 650), ("62.5% rh", None, 625), ("65 percent humidity", None, 650),
        ("4 C 65 %", 4000, 650), ("65 %, 39 F", 3889, 650), ("12 C and 80 %", 12000, 800),
        ("0 %", None, 0), ("100 %", None, 1000), ("+4 C", 4000, None), ("38 1/2 F", 3611, None),
        ("4 deg C", 4000, None), ("50 fahrenheit", 10000, None),
    ],
)  # fmt: skip
def test_readings_as_people_say_them(typed: str, milli: int | None, permille: int | None) -> None:
    assert understood(typed) == Read(milli, permille)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("39", "may be Celsius or Fahrenheit"), ("39 degrees", "may be Celsius or Fahrenheit"),
        ("cold", "is not a reading"), ("4 K", "is not a reading"), ("4 C 39 F", "more than one"),
        ("65 % 70 %", "more than one"), ("101 %", "from 0 to 100 %"), ("-1 %", "from 0 to 100 %"),
        ("300 C", "no temperature of a store"), ("-200 F", "no temperature of a store"),
        ("3,5 C", "could be read in two ways"), ("4 C cold", "is not a reading"),
        ("1/0 C", "divides by nought"), ("4-5 C", "is not a reading"), ("C 4", "is not a reading"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_asked_back(lane: Console, typed: str, says: str) -> None:
    with pytest.raises(WrongUse, match=says):
        understood(typed)
    assert says in lane.refuses("reading", typed, "--in", "barn")


@given(st.integers(COLDEST, HOTTEST), st.integers(0, 1000) | st.none())
def test_what_is_told_back_is_what_was_read(milli: int, permille: int | None) -> None:
    said = shown(Read(milli, permille))
    celsius, _, rest = said.partition(" (")
    degrees = understood(celsius).celsius_milli
    assert degrees is not None
    assert abs(degrees - milli) <= 50  # half a tenth of a degree, rounded
    fahrenheit = understood(rest.partition(")")[0]).celsius_milli
    assert fahrenheit is not None
    assert abs(fahrenheit - milli) <= 29  # half a tenth of a degree Fahrenheit, rounded
    if permille is not None:
        assert understood(rest.partition(" and ")[2]) == Read(None, permille)


def test_a_reading_is_written_and_told_back_in_one_line(lane: Console) -> None:
    said = lane.does("reading", "39 F", "65 %", "--in", "back room", "--at", "07:30")
    assert said == "back-room: 3.9 °C (39 °F) and 65 % read. Take back: girnel undo"
    record = last(lane)
    assert record["body"] == {
        "kind": "measured", "store": "back-room", "celsius_milli": 3889, "humidity_permille": 650,
    }  # fmt: skip
    assert record["at"].startswith("2026-11-22T07:30")
    assert "Taken back: reading" in lane.does("undo")


def test_a_thermometer_alone_says_nothing_of_the_damp(lane: Console) -> None:
    told = lane.json("reading", "-2", "C", "--in", "barn")
    assert (told["celsius_milli"], told["humidity_permille"], told["cautions"]) == (-2000, None, [])


def test_a_reading_is_somewhere(lane: Console) -> None:
    assert "--in" in lane.refuses("reading", "4 C")
    assert 'No store here is called "loft"' in lane.refuses("reading", "4 C", "--in", "loft")


def test_a_freezer_above_freezing_with_food_in_it_calls_for_the_caution(lane: Console) -> None:
    lane.does("store", "add", "chest", "--kind", "freezer")
    assert lane.json("reading", "3 C", "--in", "chest")["cautions"] == []
    lane.does("bring-in", "4 bags", "peas", "--form", "frozen", "--in", "chest")
    assert lane.json("reading", "0 C", "--in", "chest")["cautions"] == []
    assert lane.json("reading", "30 C", "--in", "barn")["cautions"] == []
    assert any("thaw" in said.casefold() for said in lane.json(
        "reading", "3 C", "--in", "chest")["cautions"])  # fmt: skip
    assert "Caution: " in lane.does("reading", "3 C", "--in", "chest")
