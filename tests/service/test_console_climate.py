"""Climates stated and read, machines and their runs, as typed and told."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.console import Console, household


@pytest.fixture
def lane(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Console]:
    with household(tmp_path, monkeypatch, capsys) as console:
        yield console


def climate(lane: Console, store: str) -> dict[str, object]:
    (found,) = lane.json("climate", store)["stores"]
    assert isinstance(found, dict)
    return found


def test_a_stated_climate_is_told_month_by_month(lane: Console) -> None:
    lane.does("store", "set", "barn", "climate=35 35 38 44 52 58 62 62 56 48 42 37 F")
    found = climate(lane, "barn")
    assert found["rests_on"] == "stated"
    months = found["months"]
    assert isinstance(months, list)
    assert [month["month"] for month in months[:3]] == ["2026-11", "2026-12", "2027-01"]
    assert len(months) == 12
    said = lane.does("climate", "barn")
    assert "stated 35 35 38" in said
    assert "Jan 2027" in said


def test_a_reading_moves_today_and_says_so(lane: Console) -> None:
    lane.does("store", "set", "barn", "climate=40 F")
    lane.does("reading", "46 F", "80 %", "--in", "barn")
    found = climate(lane, "barn")
    assert found["today"] == {"c": 7.8, "f": 46.0}
    assert (found["rests_on"], found["readings"], found["humidity_percent"]) == ("read", 1, 80.0)
    assert "read on 1 day, last 22 Nov 2026" in lane.does("climate")


def test_without_anything_it_is_assumed_or_not_known(lane: Console) -> None:
    said = lane.does("climate")
    assert "10 to 21 C, assumed" in said
    assert "not known" in said
    assert climate(lane, "kitchen")["today"] is None


def test_damped_by_the_outdoors(lane: Console) -> None:
    lane.does("store", "add", "outdoors", "--kind", "outdoors",
              "climate=0 0 0 0 0 0 20 20 20 20 20 20 C")  # fmt: skip
    lane.does("store", "set", "barn", "climate=outdoors 1/2")
    months = climate(lane, "barn")["months"]
    assert isinstance(months, list)
    middle = next(month for month in months if month["month"] == "2027-03")
    assert middle["c"] == 5.0


@pytest.mark.parametrize("typed", ["cool", "50", "1 2 3 C", "outdoors 3"])
def test_what_is_no_climate_is_refused(lane: Console, typed: str) -> None:
    assert typed in lane.refuses("store", "set", "barn", f"climate={typed}")


def test_a_machine_is_set_up_and_its_run_told_back(lane: Console) -> None:
    said = lane.does("machine", "add", "dryer", "--in", "barn", "trays=10")
    assert "common practice, no source read" in said
    lane.does("machine", "set", "dryer", "--degrees", "9 F", "hours=10")
    assert lane.json("machine", "list") == [
        {"machine": "dryer",
         "facts": {"store": "barn", "trays": "10", "degrees": "9 F", "hours": "10"}},
    ]  # fmt: skip
    lane.does("store", "set", "barn", "climate=40 F")
    assert "dryer ran 10 hours in barn" in lane.does("run", "dryer")
    assert lane.json("run", "dryer", "--for", "90 minutes")["minutes"] == 90
    # ten hours before 10:00 on 22 November, and an hour and a half: 11 1/2 of 24, those of the day
    today = climate(lane, "barn")["today"]
    assert isinstance(today, dict)
    assert today["f"] == pytest.approx(40 + 9 * 11.5 / 24, abs=0.1)
    assert "adds 5.0 C (9 F) while it runs" in lane.does("climate", "barn")
    lane.does("undo")
    lane.does("undo")
    today = climate(lane, "barn")["today"]
    assert isinstance(today, dict)
    assert today["f"] == pytest.approx(40, abs=0.1)


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (("run", "kiln"), 'No machine is called "kiln". Known here: dryer.'),
        (("run", "dryer"), "It is not said how long it ran"),
        (("run", "dryer", "--for", "a while"), '"a while" is no length of time'),
        (("run", "dryer", "--for", "0 hours"), '"0 hours" is no length of time'),
        (("machine", "add", "dryer"), "dryer is set up already"),
        (("machine", "set", "dryer"), "Nothing was said of dryer"),
        (("machine", "set", "dryer", "--degrees", "warm"), '--degrees "warm" is no difference'),
        (("machine", "set", "dryer", "colour=red"), '"colour=red" is no fact about a machine'),
        (("machine", "set", "dryer", "hours=long"), '"long hours" is no length of time'),
        (("climate", "loft"), 'No store here is called "loft"'),
    ],
)
def test_what_is_not_understood_writes_nothing(
    lane: Console, argv: tuple[str, ...], says: str
) -> None:
    lane.does("machine", "add", "dryer")
    assert says in lane.refuses(*argv)


def test_what_was_cured_keeps_from_its_release(lane: Console) -> None:
    code = lane.bring("57 heads", "garlic", "--in", "kitchen", "--on", "2026-07-18")
    lane.does("hold", code, "--programme", "curing", "--on", "2026-07-18")
    assert lane.json("rotation")["order"] == []
    said = lane.does("release", code, "--on", "2026-08-15")
    assert "its keeping starts with the end of curing, 15 Aug 2026" in said
    (use,) = lane.json("rotation")["order"]
    # Produce Facts: Garlic, UC Davis: one to two months at 20-30 C, here the shortest printed
    assert (use["since"], use["from"], use["to"]) == ("2026-08-15", "2026-09-14", "2026-10-15")


def test_grain_that_was_treated_has_kept_all_the_while(lane: Console) -> None:
    code = lane.bring("25 kg", "pasta", "--in", "kitchen", "--on", "2026-07-18")
    lane.does("hold", code, "--programme", "pest treatment", "--on", "2026-07-18")
    assert "its keeping starts" not in lane.does("release", code, "--on", "2026-08-15")
    (use,) = lane.json("rotation")["order"]
    assert use["since"] == "2026-07-18"


def test_how_a_lot_is_may_be_learnt(lane: Console) -> None:
    sound = lane.bring("40 lb", "potatoes", "--in", "kitchen", "--on", "2026-11-10")
    nicked = lane.bring("5 lb", "potatoes", "--in", "kitchen", "--on", "2026-11-12")
    assert [use["lot"] for use in lane.json("rotation")["order"]] == [sound, nicked]
    lane.does("amend", nicked, "condition=nicked by the fork")
    assert [use["lot"] for use in lane.json("rotation")["order"]] == [nicked, sound]
    lane.does("amend", sound, "keeping_from=2026-11-01")
    found = {use["lot"]: use["since"] for use in lane.json("rotation")["order"]}
    assert found[sound] == "2026-11-01"


def test_what_was_called_curing_is_fresh_from_its_release(lane: Console) -> None:
    code = lane.bring("57 heads", "garlic", "--in", "kitchen", "--form", "curing",
                      "--on", "2026-07-18")  # fmt: skip
    lane.does("hold", code, "--programme", "curing", "--on", "2026-07-18")
    said = lane.does("release", code, "--on", "2026-08-15")
    assert "from here on it is fresh" in said
    (use,) = lane.json("rotation")["order"]
    # Produce Facts: Garlic, UC Davis: one to two months at 20-30 C, here the shortest printed
    assert (use["from"], use["to"]) == ("2026-09-14", "2026-10-15")
    (row,) = lane.json("on-hand")
    assert row["form"] == "fresh"
