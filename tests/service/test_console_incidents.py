"""Something befell a store, said at the console: what it holds, how it is looked at, how it ends."""

import json
from typing import Any

import pytest

from tests.console import Console

BRINGING = (
    ("8 bags", "peas", "--form", "frozen", "--in", "kitchen", "--on", "2026-07-01"),
    ("9 qt", "plums", "--form", "home-canned", "--in", "barn", "--on", "2026-09-01"),
    ("30 lb", "apples", "--in", "barn", "--on", "2026-10-05"),
)


@pytest.fixture(autouse=True)
def freezer(lane: Console) -> None:
    lane.does("store", "add", "chest", "--kind", "freezer")
    lane.does("carry", "5", "peas", "--from", "kitchen", "--to", "chest", "--on", "2026-07-01")


def body(lane: Console) -> dict[str, Any]:
    """What the newest record says."""
    found: dict[str, Any] = json.loads(lane.log().splitlines()[-1])["record"]["body"]
    return found


def held(lane: Console) -> dict[tuple[str, str], str]:
    """(food, store) to how much of it is held."""
    return {
        (row["food"], row["store"]): row["amount"]["value"]
        for row in lane.json("on-hand")
        if row["held"]
    }


def test_what_stood_in_the_store_is_held_until_somebody_looked(lane: Console) -> None:
    said = lane.does(
        "incident", "power cut", "--in", "chest", "--from", "yesterday 15:00",
        "--to", "yesterday 9 pm",
    )  # fmt: skip
    assert said.startswith(
        "power cut in chest, from 21 Nov 2026, 15:00 to 21:00: peas held by it. "
        "Take back: girnel undo"
    )
    assert "5 bags chest" in said
    assert body(lane) == {
        "kind": "incident", "store": "chest", "what": "power cut",
        "start": "2026-11-21T15:00+00:00", "end": "2026-11-21T21:00+00:00",
    }  # fmt: skip
    assert held(lane) == {("peas", "chest"): "5"}  # the three in the kitchen stood elsewhere
    # the sentence that says how to look is what ends the hold, as it stands
    look = said.partition("girnel look ")[2].partition(" What was not")[0].split()
    lane.does("look", *[word.replace("HOW-MANY", "4") for word in look])
    assert held(lane) == {("peas", "chest"): "1"}
    toss = said.partition("girnel toss ")[2].partition(" Caution")[0].split()
    words = {"HOW-MANY": "1", "CAUSE": "past best"}
    lane.does("toss", *[words.get(word, word) for word in toss])
    assert held(lane) == {}
    assert lane.amounts() == {
        ("peas", "chest"): "4 bag", ("peas", "kitchen"): "3 bag",
        ("plums", "barn"): "9 jar", ("apples", "barn"): "30 lb",
    }  # fmt: skip


def test_all_that_was_there_may_be_found_sound(lane: Console) -> None:
    mark = lane.json("incident", "frost", "--in", "barn", "--on", "yesterday")["record"]
    assert held(lane) == {("plums", "barn"): "9", ("apples", "barn"): "30"}
    lane.does("look", "apples", "--in", "barn", "--sound", "all", "--for", mark)
    assert held(lane) == {("plums", "barn"): "9"}  # of that lot alone


def test_it_is_taken_back_and_nothing_is_held(lane: Console) -> None:
    lane.does("incident", "heat", "--in", "barn", "--on", "yesterday")
    assert held(lane)
    assert "Taken back: incident" in lane.does("undo")
    assert held(lane) == {}


@pytest.mark.parametrize(
    ("what", "store", "says", "source"),
    [
        ("power cut", "chest", "Thawed: what stood above 40 F", "second-hand from Clemson"),
        ("freezer door open", "chest", "Thawed: what stood above 40 F", "second-hand from Clemson"),
        ("hard frost", "barn", "A jar that froze is soft, not spoiled", "(USDA)"),
        ("flood", "barn", "jars that flood water touched are thrown out", "second-hand from USDA"),
        ("flood", "barn", "What flood water touched: ask the extension", "(no source read)"),
        ("heat", "barn", "Jars above 35 C (95 F) lose quality", "(USDA)"),
    ],
)
def test_the_caution_of_its_kind(
    lane: Console, what: str, store: str, says: str, source: str
) -> None:
    cautions = lane.json("incident", what, "--in", store, "--on", "yesterday")["cautions"]
    (said,) = [one for one in cautions if says in one]
    assert source in said
    assert not any("safe" in one.casefold().replace("unsafe", "") for one in cautions)


def test_a_refrigerator_without_power_warms_what_is_in_it(lane: Console) -> None:
    lane.does("store", "add", "fridge", "--kind", "refrigerator")
    lane.bring("2 lb", "soft cheese", "--form", "fresh", "--in", "fridge", "--on", "2026-11-20")
    at = ("--in", "fridge", "--on", "yesterday")
    said = lane.json("incident", "power out", *at)["cautions"]
    assert any("above 40 F (4 C) for over 2 hours" in one for one in said)
    assert lane.json("incident", "ants", *at)["cautions"] == []


def test_it_goes_on_until_it_is_said_to_be_over(lane: Console) -> None:
    lane.does("incident", "power cut", "--in", "chest", "--from", "last night")
    assert "end" not in body(lane)
    assert body(lane)["start"] == "2026-11-21T18:00/2026-11-22T05:59"
    # what was put in before it is known to be over falls under it
    lane.does(
        "carry", "2", "peas", "--from", "kitchen", "--to", "chest", "--at", "2026-11-22 09:00"
    )
    assert held(lane) == {("peas", "chest"): "7"}


def test_what_was_eaten_before_it_was_known_is_said(lane: Console) -> None:
    lane.does("take", "2", "peas", "--in", "chest", "--at", "2026-11-22 08:00")
    said = lane.does("incident", "power cut", "--in", "chest", "--from", "2026-11-21 15:00")
    assert "2 bags used before the hold was known" in said
    assert held(lane) == {("peas", "chest"): "3"}


def test_a_store_with_nothing_in_it(lane: Console) -> None:
    told = lane.json("incident", "mice", "--in", "back-room", "--on", "yesterday")
    assert (told["held"], told["follow"], told["cautions"]) == ([], [], [])
    assert "nothing that the log knows stood there" in lane.does(
        "incident", "mice", "--in", "back-room", "--on", "2026-11-20"
    )


def test_a_part_of_a_store_and_the_store_around_it(lane: Console) -> None:
    lane.does("carry", "3", "plums", "--from", "barn", "--to", "barn/top", "--on", "2026-10-06")
    lane.does("incident", "roof leak", "--in", "barn/top", "--on", "2026-11-20")
    # what is known only for the barn may have stood on that shelf
    assert held(lane) == {
        ("plums", "barn/top"): "3", ("plums", "barn"): "6", ("apples", "barn"): "30",
    }  # fmt: skip


def test_it_stands_in_the_trail_the_concerns_and_the_week(lane: Console) -> None:
    lane.does("incident", "hard frost", "--in", "barn", "--from", "2026-11-21 02:00",
              "--to", "2026-11-21 08:00")  # fmt: skip
    assert "hard frost, barn, 21 Nov 2026: 30 lb apples, 9 jars plums" in lane.does("digest")
    looks = next(s for s in lane.json("digest")["sections"] if s["heading"] == "Go and look")
    assert looks["items"][0]["more"].startswith("girnel look LOT --in STORE --sound HOW-MANY --for")
    assert "hard frost in barn" in lane.does("trail", "apples")
    raised = lane.json("take", "1 lb", lane.json("on-hand")[0]["lot"], "--in", "barn")["concerns"]
    assert [one["kind"] for one in raised] == ["held-used"]
    assert "hard frost, barn" in raised[0]["says"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (("--on", "tomorrow"), '"tomorrow" has not come yet'),
        ((), "It is not said when it befell the store"),
        (("--to", "9:00"), "--to says when it was over, and not when it began"),
        (("--from", "yesterday", "--on", "yesterday"), "leave out --on and --at"),
        (("--from", "9:00", "--to", "8:00"), '--to "8:00" lies before --from "9:00"'),
        (("--from", "9:00", "--to", "23:00"), '"23:00" has not come yet'),
        (("--from", "yesterday 15:00", "--to", "9:00"), "does not say which day"),
        (("--from", "the other day"), "is not a date that can be read"),
    ],
)
def test_when_it_was_is_said_so_that_it_has_one_meaning(
    lane: Console, typed: tuple[str, ...], says: str
) -> None:
    assert says in lane.refuses("incident", "flood", "--in", "barn", *typed)


def test_a_day_that_may_be_two_is_a_choice(lane: Console) -> None:
    typed = ("incident", "flood", "--in", "barn", "--from", "Sunday", "--to", "today")
    assert "may be 22 Nov 2026" in lane.refuses(*typed, code=1)


def test_what_and_where_are_said(lane: Console) -> None:
    on = ("--on", "yesterday")
    assert "Something is missing: WHAT" in lane.refuses("incident", "--in", "barn", *on)
    assert "Something is missing: --in" in lane.refuses("incident", "flood", *on)
    assert "What befell it is empty" in lane.refuses("incident", " ", "--in", "barn", *on)
    assert 'No store here is called "attic"' in lane.refuses(
        "incident", "flood", "--in", "attic", *on
    )
    said = lane.refuses("incident", "flo\x07od", "--in", "barn", *on)
    assert "a sign that cannot be printed" in said


def test_undo_passes_over_what_the_ledger_wrote_of_a_clock(lane: Console) -> None:
    """A clock that went back is redated beside the deed: what is taken back is the deed."""
    lane.now("2027-03-01T10:00:00+00:00")
    lane.does("take", "1", "peas", "--in", "kitchen")
    lane.now("2026-11-22T12:00:00+00:00")
    lane.does("take", "1", "plums", "--in", "barn")
    assert "Taken back: take" in lane.does("undo")
    assert lane.amounts()["plums", "barn"] == "9 jar"
