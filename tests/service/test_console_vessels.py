"""Jars and lids at the console: what a deed writes, and what is told to be at hand."""

from typing import Any

import pytest

from tests.console import Console


def rows(lane: Console, *argv: str) -> dict[str, Any]:
    return {row["vessel"]: row for row in lane.json("jars", *argv)}


def test_nothing_is_known_of_jars_at_first(lane: Console) -> None:
    assert "No jars are known of" in lane.does("jars")
    assert lane.json("jars", "list") == []


@pytest.mark.parametrize(
    ("typed", "vessel", "number"),
    [
        (["64", "qt", "jars"], "qt jar", 64), (["64 quart jars"], "qt jar", 64),
        (["9", "pints"], "pt jar", 9), (["30hp"], "half-pint jar", 30),
        (["2 dozen pint jars"], "pt jar", 24), (["1,200", "wide lids"], "wide lid", 1200),
        (["12 1/2 pint jars"], "half-pint jar", 12), (["0", "crocks"], "crock", 0),
        (["7", "500 ml jars"], "500 ml jar", 7), (["3 5-gallon buckets"], "5 gal bucket", 3),
    ],
)  # fmt: skip
def test_jars_are_counted_as_people_call_them(
    lane: Console, typed: list[str], vessel: str, number: int
) -> None:
    told = lane.json("jars", "counted", *typed)
    assert (told["vessel"], told["number"], told["now"]["empty"]) == (vessel, number, number)
    assert '"kind":"vessels_changed"' in lane.log().decode().splitlines()[-1]


def test_a_deed_is_told_back_in_one_line_with_what_there_is(lane: Console) -> None:
    said = lane.does("jars", "bought", "12", "regular lids", "--code", "B7")
    assert said == "12 regular lids bought (box B7): 12 at hand. Take back: girnel undo"
    lane.does("jars", "counted", "20", "pints")
    assert lane.does("jars", "lent", "6", "pt jars", "--to", "the miller") == (
        "6 pt jars lent to the miller: 14 empty, 6 on loan. Take back: girnel undo"
    )
    assert "back from the miller: 15 empty, 5 on loan" in lane.does(
        "jars", "back", "1", "pint", "--from", "the miller"
    )
    assert "Taken back: jars" in lane.does("undo")
    assert rows(lane)["pt jar"]["on_loan"] == 6


def test_jars_with_food_in_them_and_presents(lane: Console) -> None:
    lane.does("jars", "counted", "12", "half-pint jars", "--on", "2026-11-01")
    jam = lane.bring("12 hp", "plum jam", "--form", "jam", "--in", "back-room")
    lane.does("take", "4", jam, "--in", "back-room")
    lane.does("give", "2", jam, "--in", "back-room", "--to", "the keeper")
    lane.does("give", "1", jam, "--in", "back-room")
    assert lane.does("jars") == (
        "half-pint jars 16 empty 5 full 3 on loan "
        "On loan: half-pint jars: the keeper 2 and nobody said to whom 1"
    )
    assert lane.json("jars")[0]["loans"] == [
        {"who": "the keeper", "number": 2}, {"who": None, "number": 1}
    ]  # fmt: skip
    assert rows(lane, "--on", "2026-11-02") == {
        "half-pint jar": {"vessel": "half-pint jar", "empty": 12, "full": 0, "on_loan": 0,
                          "loans": [], "used": 0, "short": 0, "counted": True, "estimate": False}
    }  # fmt: skip


def test_a_load_in_one_go_with_its_jars_and_lids(lane: Console) -> None:
    lane.does("jars", "counted", "64", "qt", "--on", "2026-07-01")
    lane.does("jars", "counted", "120", "regular lids", "--on", "2026-07-01")
    lane.does("jars", "bought", "12", "wide lids", "--code", "W2", "--on", "2026-07-02")
    lane.bring("20 lb", "green beans", "--in", "kitchen", "--on", "2026-08-01")
    lane.does("put-up", "7 qt", "green beans", "--of", "green beans=14 lb in kitchen", "--lid-box",
              "W2", "--method", "pressure canner", "--in", "back-room", "--on", "2026-08-02")  # fmt: skip
    told = {name: (row["empty"], row["full"], row["used"]) for name, row in rows(lane).items()}
    assert told == {"qt jar": (57, 7, 0), "regular lid": (120, 0, 0), "wide lid": (5, 0, 7)}
    lane.does("undo")
    assert rows(lane)["wide lid"]["empty"] == 12
    assert rows(lane)["qt jar"]["empty"] == 64


def test_more_than_there_were_is_believed_and_said(lane: Console) -> None:
    lane.does("jars", "counted", "5", "qt")
    assert "0 empty, 2 more went than the log knows of" in lane.does("jars", "broken", "7", "qt")


def test_on_a_narrow_terminal_each_row_keeps_its_words(
    lane: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    lane.does("jars", "counted", "5", "quart jars")
    lane.does("jars", "broken", "7", "quart jars")
    monkeypatch.setenv("COLUMNS", "30")
    said = lane.does("jars")
    assert said == "qt jars 0 empty, 2 more went than the log knows of: count them"
    assert max(len(line) for line in lane.out.splitlines()) <= 30


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (["eaten", "4", "qt"], '"eaten" is not what befalls a jar'),
        (["counted"], "does not say how many of what"),
        (["counted", "qt jars"], "does not say how many of what"),
        (["counted", "12.5", "qt jars"], "does not say how many of what"),
        (["counted", "-3", "qt jars"], "does not say how many of what"),
        (["bought", "0", "qt jars"], "is none at all"),
        (["bought", "12", "beans"], "is no jar, lid or other vessel"),
        (["bought", "12", "lb"], "is no jar, lid or other vessel"),
        (["bought", "12", f"{'x' * 250} jars"], "cannot be the name of a vessel"),
        (["bought", "12", "qt jars", "--to", "me"], "--to goes with lent alone"),
        (["lent", "12", "qt jars", "--from", "me"], "--from goes with back alone"),
        (["back", "12", "qt jars", "--code", "B7"], "--code goes with bought alone"),
        (["list", "--by", "cook"], "only --on DATE and --json"),
        (["--code", "B7"], "only --on DATE and --json"),
        (["counted", "3", "qt", "--on", "2027-02-01"], "2027-02-01"),
    ],
)
def test_what_is_not_understood_is_said_and_not_written(
    lane: Console, typed: list[str], says: str
) -> None:
    assert says in lane.refuses("jars", *typed)
