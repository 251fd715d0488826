"""Days, moments, places and choices of deeds: what is read, what is asked, and what is told back."""

import json

import pytest

from tests.console import Console


def test_a_day_that_is_not_today_is_told_back(lane: Console) -> None:
    lot = lane.bring("20 lb", "turnips", "--in", "barn", "--on", "2025-12-01")
    said = lane.does("take", "1 lb", lot, "--in", "barn", "--on", "30 Dec")
    assert "1 lb taken from barn, 30 Dec 2025, 19 lb left in all." in said
    said = lane.does("count", "18 lb", lot, "--in", "barn", "--on", "yesterday")
    assert "18 lb counted in barn, 21 Nov 2026" in said
    said = lane.does("log", "took 1 lb of turnips from the barn yesterday")
    assert "21 Nov 2026" in said
    assert "2026" not in lane.does("take", "1 lb", lot, "--in", "barn", "--on", "today")
    assert "2026" not in lane.does("take", "1 lb", lot, "--in", "barn")
    again = lane.does("bring-in", "2 lb", "swedes", "--in", "barn", "--on", "1 Nov 2026")
    assert again.count("1 Nov 2026") == 1


@pytest.mark.parametrize(
    ("typed", "at"),
    [
        ("6 Sep 21:10", "2026-09-06T21:10+01:00"),
        ("7am", "2026-11-22T07:00+00:00"),
        ("yesterday 17:30", "2026-11-21T17:30+00:00"),
        ("18:04 Z", None),
        ("2026-08-14 18:04", "2026-08-14T18:04+01:00"),
    ],
)
def test_a_moment_is_read_as_people_tell_it(lane: Console, typed: str, at: str | None) -> None:
    lot = lane.bring("20 lb", "turnips", "--in", "barn", "--on", "2025-12-01")
    if at is None:
        assert "has not come yet" in lane.refuses("take", "1 lb", lot, "--at", typed)
        return
    lane.does("take", "1 lb", lot, "--in", "barn", "--at", typed)
    assert json.loads(lane.log().splitlines()[-1])["record"]["at"] == at


def test_what_is_told_by_the_part_of_a_day_is_no_moment(lane: Console) -> None:
    for typed in ("this morning", "yesterday", "tea time"):
        assert "is not a moment" in lane.refuses("reading", "4 C", "--in", "barn", "--at", typed)
    said = lane.refuses("reading", "4 C", "--in", "barn", "--at", "Sunday 9:00", code=1)
    assert "may be 22 Nov 2026" in said


def test_a_store_within_another_is_named_where_it_may_be_meant(lane: Console) -> None:
    lane.does("store", "add", "barn/freezer", "--kind", "freezer")
    for typed in ("barn freezer", "freezer", "Barn-Freezer"):
        said = lane.refuses("bring-in", "2 pkg", "peas", "--in", typed, code=1)
        assert said == f'No store here is called "{typed}": write barn/freezer.'
    assert "Known here" in lane.refuses("bring-in", "2 pkg", "peas", "--in", "cellar")
    assert "2 packages brought into barn/freezer" in lane.does(
        "bring-in", "2 pkgs", "peas", "--in", "barn/freezer"
    )


def test_a_word_of_a_choice_is_read_in_any_case(lane: Console) -> None:
    lot = lane.bring("20 lb", "turnips", "--in", "barn", "--on", "2025-12-01")
    assert "(animals)" in lane.does("toss", "1 lb", lot, "--in", "barn", "--cause", "Animals")
    assert "is none of" in lane.refuses("toss", "1 lb", lot, "--in", "barn", "--cause", "Trolls")


def test_food_that_nobody_brought_in_is_counted_by_bringing_it_in_as_found(lane: Console) -> None:
    said = lane.refuses("count", "4 pt", "quince jelly", "--in", "barn")
    assert 'girnel bring-in "4 pt" "quince jelly" --in barn --origin found' in said
    lane.does("bring-in", "4 pt", "quince jelly", "--in", "barn", "--origin", "found", "--form",
              "home-canned", "--made", "before 28 Feb 2026")  # fmt: skip
    lane.does("bring-in", "3 pt", "quince jelly", "--in", "barn", "--form", "home-canned")
    said = lane.refuses("count", "6", "quince jelly", "--in", "barn", code=1)
    assert "girnel count HOW-MANY CODE --in barn" in said
    said = lane.refuses("count", "--store", "barn", "quince jelly=6", code=1)
    assert "There are 2 lots of quince jelly" in said


def test_two_ends_that_are_one_day_are_told_as_one(lane: Console) -> None:
    lane.bring("4 pt", "jelly", "--in", "barn", "--form", "home-canned", "--made", "this morning")
    assert "22 to 22" not in lane.does("on-hand")
    assert "22 Nov 2026" in lane.does("on-hand")


def test_a_number_alone_takes_back_what_was_written_lately(lane: Console) -> None:
    lane.bring("20 lb", "turnips", "--in", "barn")
    number = lane.json("take", "1 lb", "turnips", "--in", "barn")["record"].partition(":")[2]
    lane.does("undo", number)
    lane.does("undo")
    lane.now("2026-11-24T10:00:00+00:00")
    said = lane.refuses("undo", number, code=1)
    assert "turnips" in said
    assert f":{number}; the last deed, girnel undo." in said


def test_one_count_of_food_under_a_mark_and_beside_it_is_short_once(lane: Console) -> None:
    lot = lane.bring("4 pt", "jelly", "--in", "barn", "--form", "home-canned")
    lane.does("set-aside", lot, "1", "--in", "barn", "--for", "midwinter")
    lane.does("count", "0", lot, "--in", "barn")
    said = lane.does("trail", lot)
    assert said.count("missing)") == 1
    assert "(4 jars missing)" in said


def test_why_has_one_full_stop(lane: Console) -> None:
    lane.bring("4 tins", "tuna", "--in", "barn", "--printed", "36511")
    lane.bring("4 lb", "honey", "--in", "barn", "--printed", "04/05/27")
    assert ".." not in lane.does("rotation", "--why").replace("...", "")


def test_help_fits_the_width(lane: Console) -> None:
    for command in ("toss", "bring-in"):
        with pytest.raises(SystemExit):
            lane.run(command, "--help")
        assert max(map(len, lane.capsys.readouterr().out.splitlines())) <= 80, command


def test_the_version_is_said(lane: Console) -> None:
    with pytest.raises(SystemExit):
        lane.run("--version")
    assert lane.capsys.readouterr().out.startswith("girnel ")
