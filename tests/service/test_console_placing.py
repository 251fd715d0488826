"""What if: another store, a machine, a winter; and the one line of a deed that makes a clash."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.console import Console, household


@pytest.fixture
def lane(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Console]:
    with household(tmp_path, monkeypatch, capsys) as console:
        console.does("store", "add", "cellar", "--kind", "cellar", "climate=39 F")
        console.does("store", "set", "barn", "climate=outdoors 2/3")
        console.does("store", "add", "outdoors", "--kind", "outdoors",
                     "climate=0 1 4 8 12 16 18 18 14 10 5 2 C")  # fmt: skip
        yield console


def stores(found: dict[str, Any]) -> dict[str, Any]:
    return {one["store"]: one for one in found["stores"]}


def test_a_lot_in_every_store_the_best_first(lane: Console) -> None:
    code = lane.bring("40 lb", "potatoes", "--in", "kitchen", "--on", "2026-11-21")
    found = lane.json("what-if", code)
    assert found["stores"][0]["store"] == "cellar"
    assert set(stores(found)) == {"cellar", "barn", "kitchen", "back-room"}
    assert stores(found)["kitchen"]["here"] is True
    said = lane.does("what-if", code)
    assert "kitchen, where it stands: from" in said
    assert "10 to 21 C assumed" in said
    assert "about 4 C (39 F)" in said
    assert "Dates are about quality, for food that is not held." in said


def test_in_one_store_it_is_set_beside_where_it_stands(lane: Console) -> None:
    lane.bring("40 lb", "potatoes", "--in", "kitchen", "--on", "2026-11-21")
    before = lane.log()
    found = lane.json("what-if", "potatoes", "--in", "cellar")
    assert [one["store"] for one in found["stores"]] == ["cellar", "kitchen"]
    assert found["would"] == []
    assert lane.log() == before


def test_a_carry_that_makes_a_clash_is_done_and_said_once(lane: Console) -> None:
    lane.bring("180 lb", "potatoes", "--in", "cellar")
    lane.bring("60 lb", "carrots", "--in", "cellar")
    apples = lane.bring("84 lb", "apples", "--in", "barn")
    said = lane.does("carry", "20 lb", apples, "--from", "barn", "--to", "cellar")
    assert "20 lb carried from barn to cellar" in said
    assert said.count("beside") == 1
    assert "suffer from ethylene" in said
    assert "and 2 more" in said
    assert "beside" not in lane.does("carry", "20 lb", apples, "--from", "barn", "--to", "cellar")
    assert "beside" not in lane.does("digest")
    more = lane.does("bring-in", "10 lb", "apples", "--in", "cellar")
    assert "beside" not in more
    assert "beside" in lane.does("bring-in", "10 lb", "pears", "--in", "cellar")


def test_a_carry_that_makes_none_says_nothing(lane: Console) -> None:
    lane.bring("60 lb", "carrots", "--in", "cellar")
    beets = lane.bring("30 lb", "beets", "--in", "barn")
    assert "beside" not in lane.does("carry", "rest", beets, "--from", "barn", "--to", "cellar")


def test_a_machine_in_a_month(lane: Console) -> None:
    lane.does("machine", "add", "dryer", "--in", "cellar", "--degrees", "8 F")
    code = lane.bring("40 lb", "potatoes", "--in", "cellar", "--on", "2026-11-21")
    found = lane.json("what-if", code, "--machine", "dryer", "--month", "december")
    (plain,), (would,) = found["stores"], found["would"]
    assert would["from"] < plain["from"]
    assert "would be from" in lane.does("what-if", code, "--machine", "dryer", "--month", "12")
    losses = lane.json("what-if", "--machine", "dryer", "--month", "12")["losses"]
    assert [(loss["lot"], loss["store"]) for loss in losses] == [(code, "cellar")]
    assert losses[0]["days"] > 5
    assert lane.json("what-if", "--machine", "dryer", "--month", "8")["losses"] == []


def test_where_it_should_stand_and_in_which_months_it_may_run(lane: Console) -> None:
    lane.does("machine", "add", "dryer", "--in", "cellar")
    lane.bring("40 lb", "potatoes", "--in", "cellar", "--on", "2026-11-21")
    lane.bring("9 qt", "green beans", "--form", "home-canned", "--in", "kitchen")
    found = lane.json("what-if", "--machine", "dryer")
    judged = {one["store"]: one["judged"] for one in found["stores"]}
    assert judged == {
        "cellar": "known", "kitchen": "no temperature known",
        "back-room": "nothing stands there", "barn": "nothing stands there",
    }  # fmt: skip
    cellar = stores(found)["cellar"]["months"]
    assert [month["month"] for month in cellar] == [11, 12, *range(1, 11)]
    assert not cellar[1]["may_run"]
    assert cellar[-1]["may_run"]
    said = lane.does("what-if", "--machine", "dryer")
    assert "common practice, no source read" in said
    assert "not in Nov to " in said
    assert "It stands best in back-room." in said


def test_a_warmer_winter(lane: Console) -> None:
    code = lane.bring("40 lb", "carrots", "--in", "barn", "--on", "2026-11-21")
    (loss,) = lane.json("what-if", "--winter", "+3F")["losses"]
    assert (loss["lot"], loss["store"]) == (code, "barn")
    assert loss["would"] < loss["from"]
    assert "1 lot would keep less" in lane.does("what-if", "--winter", "+3F")
    assert "Nothing would keep less" in lane.does("what-if", "--winter=-3F")
    assert lane.json("what-if", code, "--winter", "2 C")["would"][0]["from"] < loss["from"]


def test_what_a_warmer_winter_leaves_out_is_said(lane: Console) -> None:
    lane.bring("9 qt", "green beans", "--form", "home-canned", "--in", "kitchen")
    lane.bring("40 lb", "parsnips", "--in", "bed-3")
    found = lane.json("what-if", "--winter", "+3F")
    assert (found["losses"], found["not_judged"]) == ([], ["kitchen"])
    assert [note[:23] for note in found["notes"]] == ["Beds are not in this: h"]
    said = lane.does("what-if", "--winter", "+3F")
    assert "Not judged, for nobody said how far it goes with the outdoors: kitchen." in said
    assert "Beds are not in this" in said
    lane.does("machine", "add", "dryer", "--in", "kitchen")
    said = lane.does("what-if", "--machine", "dryer", "--month", "8")
    assert "Not judged, for nobody said how warm it is: kitchen." in said
    assert "Beds" not in said


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        ((), "What if what?"),
        (("--in", "cellar"), "--in says where a lot would stand"),
        (("--month", "8"), "say which with --machine"),
        (("--machine", "kiln"), 'No machine is called "kiln"'),
        (("--machine", "dryer", "--month", "13"), '"13" is no month'),
        (("--machine", "dryer", "--month", "ju"), '"ju" is no month'),
        (("--machine", "dryer", "--month", "8"), "It is not said where the dryer stands"),
        (("--machine", "dryer", "--degrees", "hot"), '--degrees "hot" is no difference'),
        (("--winter", "mild"), '--winter "mild" is no difference'),
        (("carrots", "--machine", "dryer"), "In which month does the dryer run?"),
        (("carrots", "--in", "loft"), 'No store here is called "loft"'),
        (("turnips",), "turnips"),
    ],
)
def test_what_is_not_understood_is_said_in_one_sentence(
    lane: Console, argv: tuple[str, ...], says: str
) -> None:
    lane.does("machine", "add", "dryer")
    lane.bring("40 lb", "carrots", "--in", "barn")
    assert says in lane.refuses("what-if", *argv)


def test_a_hold_is_never_argued_with(lane: Console) -> None:
    code = lane.bring("9 qt", "green beans", "--form", "home-canned", "--in", "kitchen")
    lane.does("hold", code, "--reason", "suspect seal")
    assert "Dates are about quality, for food that is not held." in lane.does("what-if", code)
    assert lane.json("rotation")["order"] == []
