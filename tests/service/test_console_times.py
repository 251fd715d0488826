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
