"""What is learnt of a load later: its acid forgotten, one of its jars found open in winter.

And what a year of a food came to: put up, given, swapped, spoiled, eaten. All of it invented.
"""

import json
from typing import Any

import pytest
from msgspec.structs import replace

from events import tables
from service.console import batches
from tests.console import Console

SOUP = "tomatoes"
CANNER = ("--method", "boiling water", "--in", "back-room")


@pytest.fixture(autouse=True)
def late_summer(lane: Console) -> None:
    lane.now("2027-08-30T21:00:00+01:00")


def records(lane: Console, many: int) -> list[dict[str, Any]]:
    return [json.loads(line)["record"] for line in lane.log().splitlines()[-many:]]


def held(lane: Console) -> dict[str, str]:
    """Lots with food that is held, and how much of it."""
    rows = lane.json("on-hand")
    return {row["lot"]: row["amount"]["value"] for row in rows if row["held"]}


# -- the acid was left out -----------------------------------------------------------------------


def two_loads(lane: Console) -> tuple[str, str]:
    """Tomatoes put up three weeks ago, of which some are gone, and last night."""
    first = lane.json("put-up", "12 qt", SOUP, *CANNER)["lot"]
    lane.now("2027-09-10T12:00:00+01:00")
    lane.does("take", "2", first, "--in", "back-room")
    lane.does("give", "3", first, "--in", "back-room", "--to", "next door")
    lane.now("2027-09-20T22:00:00+01:00")
    second = lane.json("put-up", "14 qt", "3 pt", SOUP, *CANNER, "--at", "21:50")["lot"]
    lane.now("2027-09-21T07:50:00+01:00")
    return first, second


def test_acid_forgotten_last_night_holds_the_whole_load_and_says_the_choices(lane: Console) -> None:
    _, second = two_loads(lane)
    said = lane.json("amend", second, "acid=forgotten")
    assert sorted(held(lane).values()) == ["14", "3"]
    assert [one["food"] for one in said["lots"]] == [SOUP] * 4
    assert len({record["deed"] for record in records(lane, 4)}) == 1
    (choices,) = [one for one in said["cautions"] if "without its acid" in one]
    for figure in ("2 Tbsp bottled lemon juice", "1/2 tsp citric acid", "24 hours, or 2",
                   "refrigerate, freeze, or process anew", "quoted second-hand"):  # fmt: skip
        assert figure in choices
    assert said["concerns"] == []


def test_acid_forgotten_weeks_ago_holds_what_is_left_and_lists_what_is_gone(lane: Console) -> None:
    first, second = two_loads(lane)
    said = lane.json("amend", first, "acid=none")
    assert held(lane) == {first: "7"}
    assert {one["kind"] for one in said["concerns"]} == {"used-before-hold"}
    (gone,) = said["follow"]
    assert f"2 jars of {first} eaten (Fri 10 Sep 2027 12:00)" in gone
    assert f"3 jars of {first} given to next door (Fri 10 Sep 2027 12:00)" in gone
    assert "before the hold was known" in lane.does("concerns")
    (late,) = [one for one in said["cautions"] if "without its acid" in one]
    assert "no processing anew" in late
    assert "improperly processed" in late
    assert "or process anew with the acid" not in " ".join(said["cautions"])
    lane.does("amend", second, "acid=left out")
    assert sorted(held(lane).values()) == ["14", "3", "7"]


def test_it_is_held_once_and_taken_back_as_one(lane: Console) -> None:
    first, _ = two_loads(lane)
    lane.does("amend", first, "acid=none")
    assert len(lane.json("amend", first, "acid=none")["records"]) == 1
    lane.does("undo")
    lane.does("undo")
    assert held(lane) == {}


def test_acid_that_was_there_or_is_not_called_for_holds_nothing(lane: Console) -> None:
    first, _ = two_loads(lane)
    lane.does("amend", first, "acid=lemon juice, 2 Tbsp a quart")
    jam = lane.json("put-up", "6 pt", "peaches", "--form", "home-canned")["lot"]
    lane.does("amend", jam, "acid=none")
    assert held(lane) == {}


def test_acid_known_to_be_left_out_at_once_holds_the_load_at_once(lane: Console) -> None:
    said = lane.does("put-up", "14 qt", SOUP, *CANNER, "--acid", "none")
    assert "held (put up without its acid)" in said
    assert "24 hours, or 2 where the method was wrong" in said
    assert list(held(lane).values()) == ["14"]


# -- one jar of the lot was found open ---------------------------------------------------------------


def test_a_lid_that_popped_in_winter_wants_a_look_at_the_rest_and_no_more(lane: Console) -> None:
    lot = lane.json("put-up", "7 qt", "green beans", "--method", "pressure canner", "--in",
                    "back-room")["lot"]  # fmt: skip
    lane.now("2028-02-09T18:00:00+00:00")
    lane.does("take", "3", lot, "--in", "back-room")
    said = lane.does("toss", "1", lot, "--in", "back-room", "--cause", "seal failed")
    assert f"Look at the 3 jars that are left of it: girnel look {lot}" in said
    assert "is not fed to animals either" in said
    assert lane.amounts() == {("green beans", "back-room"): "3 jar"}
    assert held(lane) == {}
    lane.now("2028-02-13T18:00:00+00:00")
    looks = lane.does("digest").partition("Go and look")[2]
    assert "3 jars" in looks.partition("Last week")[0]
    lane.does("look", lot, "--in", "back-room", "--seen", "3", "--sound", "3")
    lane.now("2028-02-20T18:00:00+00:00")
    assert lot not in lane.does("digest").partition("Go and look")[2].partition("Last week")[0]


def test_the_last_jar_of_a_lot_asks_for_no_look(lane: Console) -> None:
    lot = lane.bring("1 qt", "green beans", "--form", "home-canned", "--in", "back-room")
    assert "Look at" not in lane.does("toss", "1", lot, "--cause", "seal failed")


def test_seals_that_fail_again_and_again_raise_what_the_loads_share(lane: Console) -> None:
    def load(food: str, box: str) -> str:
        said = lane.json("put-up", "7 qt", food, "--method", "pressure canner", "--lid-box", box,
                         "--machine", "big canner")  # fmt: skip
        return str(said["lot"])

    beans, beets, corn = load("green beans", "box 3"), load("beetroot", "box 3"), load("corn", "4")
    toss = ("--cause", "seal failed")
    assert "Other loads" not in lane.does("toss", "1", beans, *toss)
    assert "Other loads" not in lane.does("toss", "1", beans, *toss)
    assert f"share the lid box (box 3: {beans}) and the canner (" in lane.does(
        "toss", "1", beets, *toss
    )
    lane.does("look", corn, "--seen", "7", "--unsealed", "1")
    said = lane.json("toss", "1", corn, *toss)["follow"][-1]
    assert "lid box" not in said
    assert said.startswith("Other loads of which seals failed share the canner (big canner: ")


def test_a_tables_word_is_given_only_where_a_table_was_read() -> None:
    asked = tables.load().cautions["no-quart"]
    assert batches.no_size(asked).startswith("no source read")
    read = replace(asked, source_id="a-table")
    assert batches.no_size(read) == "no tested process for this size in the table here"


# -- a year of sauce ---------------------------------------------------------------------------------


def test_what_a_household_ate_is_not_what_is_gone(lane: Console) -> None:
    """Left 13, put up 26, given 4, spoiled 1, left now 3: eaten 13 + 26 - 4 - 1 - 3 = 31.

    Eight pints swapped in and still there are four quarts received, and nought eaten.
    """
    old = lane.bring("13 qt", "sauce", "--form", "home-canned", "--in", "back-room", "--on",
                     "2027-04-01", "--made", "2026-09-01")  # fmt: skip
    new = lane.json("put-up", "26 qt", "sauce", "--method", "boiling water", "--in", "back-room",
                    "--on", "2027-08-29")["lot"]  # fmt: skip
    lane.now("2028-04-01T12:00:00+01:00")
    swapped = lane.bring("8 pt", "sauce", "--form", "home-canned", "--in", "back-room", "--origin",
                         "exchange", "--on", "2027-10-10")  # fmt: skip
    lane.does("give", "4", new, "--in", "back-room", "--to", "the neighbours", "--on", "2027-12-24")
    lane.does("toss", "1", old, "--in", "back-room", "--cause", "seal failed", "--on", "2027-11-05")
    lane.does("take", "12", old, "--in", "back-room", "--on", "2027-11-30")
    lane.does("take", "15", new, "--in", "back-room", "--on", "2028-03-01")
    for lot, left in ((old, "0"), (new, "3"), (swapped, "8")):
        lane.does("count", left, lot, "--in", "back-room")
    sums = {lot: lane.json("trail", lot)["balance"] for lot in (old, new, swapped)}
    found = {lot: {term: int(said) for term, said in terms.items()} for lot, terms in sums.items()}
    logged = sum(terms.get("consumed", 0) for terms in found.values())
    unsaid = sum(terms.get("missing", 0) for terms in found.values())
    assert (logged, unsaid, logged + unsaid) == (27, 4, 31)
    assert found[swapped].get("consumed", 0) + found[swapped].get("missing", 0) == 0
    assert (found[new]["given"], found[old]["spoiled"]) == (4, 1)


def test_a_load_whose_lid_box_nobody_recorded_is_said_to_be_unknown(lane: Console) -> None:
    """Neither left out nor taken for another box."""
    how = ("--method", "pressure canner")
    old = lane.json("put-up", "7 qt", "green beans", *how)["lot"]
    new = lane.json("put-up", "7 qt", "beetroot", *how, "--lid-box", "box 3")["lot"]
    toss = ("--cause", "seal failed")
    assert "lid box" not in lane.does("toss", "1", old, *toss)
    said = lane.does("toss", "1", new, *toss)
    assert f"Whether seals that failed in {old} share the lid box cannot be told" in said
    assert "share the lid box (" not in said
