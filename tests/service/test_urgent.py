"""What cannot wait for the week, as far as what was said goes."""

from datetime import date

from events.kinds import Held, Measured, StoreSet
from events.tables import load
from service.digests.urgent import Note, notes, period
from tests.build import Household, ms
from tests.tale import day

TABLES = load()


def house() -> Household:
    home = Household()
    for store, kind in (
        ("kitchen", "kitchen"), ("chest", "freezer"), ("fridge", "refrigerator"),
        ("bed", "ground"), ("shed", "outbuilding"),
    ):  # fmt: skip
        home.say(StoreSet(store=store, facts={"kind": kind}))
    return home


def told(home: Household, at: float) -> list[Note]:
    return notes(home.book, TABLES, ms(at), "Europe/London")


def causes(home: Household, at: float) -> list[str]:
    return [note.cause for note in told(home, at)]


def test_a_hold_that_ends_within_a_day_names_its_food_and_argues_nothing_away() -> None:
    home = house()
    kraut = home.bring_in(18, "sauerkraut", "kitchen", t=day(1) + 5)
    mark = home.say(Held(lot=kraut, until="2026-08-20", reason="crock"), t=day(2))
    assert causes(home, day(18)) == []  # 20 Aug, 00:00 is more than a day off
    (note,) = told(home, day(19))
    assert note.day == date(2026, 8, 20)
    assert note.cause == f"hold-{mark.replace(':', '-')}"
    assert note.title.startswith("Held to 20 Aug 2026: 18 lb sauerkraut ")
    assert "until somebody looks and releases it" in " ".join(note.lines)
    assert told(home, day(20)) == [note]  # of the same day: a machine that slept tells it now
    assert causes(home, day(21)) == []  # past: it is in the week's list as due
    home.release(mark, kraut, t=day(18) + 60)
    assert causes(home, day(19)) == []


def test_a_freezer_or_refrigerator_that_was_read_too_warm() -> None:
    home = house()
    home.say(Measured(store="chest", celsius_milli=-18_000), t=day(3))
    home.say(Measured(store="fridge", celsius_milli=4_400), t=day(3) + 1)
    home.say(Measured(store="kitchen", celsius_milli=30_000), t=day(3) + 2)
    assert causes(home, day(3) + 60) == []
    home.say(Measured(store="chest", celsius_milli=-14_900), t=day(4))
    home.say(Measured(store="fridge", celsius_milli=4_500), t=day(4) + 1)
    found = told(home, day(4) + 60)
    assert [note.cause for note in found] == ["warm-chest", "warm-fridge"]
    assert found[0].title == "chest is too warm: -14.9 °C (5 °F)"
    said = " ".join(found[1].lines)
    assert "4.5 °C (40 °F) at 09:01 on 4 Aug 2026" in said
    assert "Thawed: what stood above 40 F (4 C) for over 2 hours is thrown out" in said
    assert "(quoted second-hand from Clemson)" in said
    assert causes(home, day(4) + 13 * 60) == []  # a reading of the morning says nothing of tonight
    home.say(Measured(store="chest", celsius_milli=-18_000), t=day(4) + 120)
    assert causes(home, day(4) + 180) == ["warm-fridge"]


def test_frost_only_where_something_stands() -> None:
    home = house()
    home.say(Measured(store="bed", celsius_milli=1_500), t=day(3))
    assert causes(home, day(3) + 60) == []
    home.bring_in(40, "carrots", "bed/north", unit="row-foot", t=day(3) + 70)
    home.say(Measured(store="shed", celsius_milli=2_100), t=day(3) + 71)
    (note,) = told(home, day(3) + 120)
    assert note.cause == "frost-bed"
    assert note.title == "Frost may come to bed: 1.5 °C (35 °F)"
    assert "there: carrots." in note.lines[0]
    assert "no source read" in note.lines[1]


def test_a_cause_is_claimed_by_its_day() -> None:
    assert period(date(2026, 11, 22), "frost-bed") == "2026-11-22 frost-bed"
    assert len(period(date(2026, 11, 22), "warm-" + "x" * 300)) == 200
