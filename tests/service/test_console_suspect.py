"""Jars that may have gone bad: held when a look finds them, looked at before they are offered."""

import pytest

from tests.console import Console

BEANS = "green beans"


def put_up(lane: Console, much: str = "7 qt", food: str = BEANS, *more: str) -> str:
    lane.now("2026-08-15T10:00:00+00:00")
    method = more or ("--method", "pressure canner", "--minutes", "25")
    told = lane.json("put-up", much, food, "--in", "back-room", *method)
    lane.now("2026-11-20T10:00:00+00:00")
    return str(told["lots"][0]["lot"])


def held(lane: Console) -> dict[str, str]:
    return {row["lot"]: row["amount"]["value"] for row in lane.json("on-hand") if row["held"]}


def offered(lane: Console) -> dict[str, str]:
    return {use["store"]: use["amount"]["value"] for use in lane.json("rotation")["order"]}


def test_a_jar_that_a_look_finds_bad_is_held(lane: Console) -> None:
    lot = put_up(lane)
    said = lane.does("look", lot, "--in", "back-room", "--seen", "7", "--sound", "6",
                     "--wrong", "1", "--finding", "swollen lid, leaking")  # fmt: skip
    assert "1 jar held (swollen lid, leaking)" in said
    assert "Never taste" in said
    assert held(lane) == {lot: "1"}
    assert offered(lane) == {"back-room": "6"}
    lane.does("undo")
    assert held(lane) == {}


def test_where_it_is_not_said_how_many_all_there_are_held(lane: Console) -> None:
    lot = put_up(lane)
    said = lane.does("log", "looked at the green beans in the back room: one jar is leaking")
    assert "all of them there are held" in said
    assert held(lane) == {lot: "7"}
    mark = " ".join(said.split()).partition("--for ")[2].split()[0]
    lane.does("look", lot, "--in", "back-room", "--sound", "6", "--wrong", "1", "--for", mark)
    assert held(lane) == {lot: "1"}


def test_a_look_that_finds_all_well_holds_nothing(lane: Console) -> None:
    lot = put_up(lane)
    lane.does("look", lot, "--in", "back-room", "--finding", "all lids fine")
    lane.does("look", lot, "--in", "back-room", "--seen", "7", "--sound", "7")
    assert held(lane) == {}


def test_soft_potatoes_are_no_matter_of_seals(lane: Console) -> None:
    lane.bring("40 lb", "potatoes", "--form", "fresh", "--in", "back-room")
    lane.does("look", "potatoes", "--in", "back-room", "--wrong", "2 lb", "--finding", "leaking")
    assert held(lane) == {}


def test_beside_a_failed_jar_each_is_looked_at_before_any_is_offered(lane: Console) -> None:
    lot = put_up(lane)
    lane.does("toss", "1", lot, "--in", "back-room", "--cause", "seal failed")
    assert offered(lane) == {}
    assert lane.json("rotation")["to_look_at"][0]["lot"] == lot
    assert "6 jars green beans" in lane.does("digest")
    said = lane.does("take", "1", BEANS, "--in", "back-room")
    assert "Look at each before any is eaten: girnel look" in said
    assert "Never taste" in said
    lane.does("undo")
    lane.does("look", lot, "--in", "back-room", "--seen", "2", "--sound", "2")
    assert offered(lane) == {}
    assert "a seal failed, look at each" in lane.does("digest")
    lane.does("look", lot, "--in", "back-room", "--seen", "6", "--sound", "6")
    assert offered(lane) == {"back-room": "6"}
    assert "a seal failed" not in lane.does("digest")
    assert "Look at each" not in lane.does("take", "1", BEANS, "--in", "back-room")


def test_the_jar_that_was_held_for_its_seal_may_go_without_another_look(lane: Console) -> None:
    lot = put_up(lane)
    lane.does("look", lot, "--in", "back-room", "--seen", "7", "--unsealed", "1")
    lane.does("toss", "1", lot, "--in", "back-room", "--cause", "seal failed")
    assert offered(lane) == {"back-room": "6"}
    lane.does("toss", "1", lot, "--in", "back-room", "--cause", "seal failed")
    assert offered(lane) == {}


def test_a_look_in_one_store_says_nothing_of_another(lane: Console) -> None:
    lot = put_up(lane)
    lane.does("toss", "1", lot, "--in", "back-room", "--cause", "seal failed")
    lane.does("carry", "3", lot, "--from", "back-room", "--to", "kitchen")
    lane.does("look", lot, "--in", "kitchen", "--seen", "3", "--sound", "3")
    assert offered(lane) == {"kitchen": "3"}
    lane.does("look", lot, "--in", "back-room", "--unsealed", "0")
    assert offered(lane) == {"kitchen": "3", "back-room": "3"}


def test_what_was_looked_at_goes_along_when_it_is_carried_or_eaten(lane: Console) -> None:
    lot = put_up(lane)
    lane.does("toss", "1", lot, "--in", "back-room", "--cause", "seal failed")
    lane.does("look", lot, "--in", "back-room", "--seen", "6", "--sound", "6")
    lane.does("carry", "4", lot, "--from", "back-room", "--to", "kitchen")
    lane.does("take", "1", lot, "--in", "kitchen")
    assert offered(lane) == {"kitchen": "3", "back-room": "2"}


@pytest.mark.parametrize(
    ("food", "more", "reason"),
    [
        (BEANS, ("--method", "boiling water"), "low in acid, and put up without pressure"),
        (BEANS, ("--method", "boiling water", "--acid", "none"), "without pressure"),
        (BEANS, ("--method", "boiling water", "--acid", "5 % vinegar"), None),
        (BEANS, ("--method", "pressure canner"), None),
        ("peaches", ("--method", "boiling water"), None),
    ],
)
def test_low_acid_food_put_up_without_pressure_is_held(
    lane: Console, food: str, more: tuple[str, ...], reason: str | None
) -> None:
    lot = put_up(lane, "6 qt", food, *more)
    if reason is None:
        assert held(lane) == {}
        return
    assert held(lane) == {lot: "6"}
    assert reason in lane.does("trail", lot)
    assert offered(lane) == {}


def test_jars_of_a_size_that_was_not_tested_are_held_however_they_come(lane: Console) -> None:
    lot = lane.bring("6 qt", "cream-style corn", "--form", "home-canned", "--in", "back-room")
    assert held(lane) == {lot: "6"}
    assert offered(lane) == {}
    lane.does("undo")
    assert lane.json("on-hand") == []
    lane.bring("6 pt", "cream-style corn", "--form", "home-canned", "--in", "back-room")
    assert held(lane) == {}


def test_a_jar_of_which_nobody_knows_anything_is_not_taken_without_a_word(lane: Console) -> None:
    lane.bring("5 pt", "unidentified", "--form", "home-canned", "--origin", "found",
               "--in", "back-room")  # fmt: skip
    assert "never taste" in lane.does("take", "1", "unidentified", "--in", "back-room")
