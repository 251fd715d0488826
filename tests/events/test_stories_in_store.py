"""What becomes of food where it stands: the freezer's door, frozen jars, the cold porch, curing."""

from events.kinds import Incident, LotSet, Measured, StoreSet
from events.readings.lived import Keeping
from events.readings.placing import placements
from events.readings.reasons import reasons
from events.readings.rotation import Use, use_first
from events.tables import load
from tests.build import Household, ms
from tests.tale import day, grains, instant

TABLES = load()


def house() -> Household:
    home = Household()
    for store, facts in (
        ("chest", {"kind": "freezer"}),
        ("shed", {"kind": "outbuilding", "climate": "38 F"}),
        ("porch", {"climate": "36 F"}),
        ("kitchen", {"kind": "kitchen"}),
        ("back-room", {"kind": "room"}),
    ):
        home.say(StoreSet(store=store, facts=facts))
    return home


def order(home: Household) -> list[Use]:
    return use_first(home.book, TABLES)


def test_the_door_stood_open_and_what_was_still_hard_goes_first_from_then_on() -> None:
    home = house()
    old = home.bring_in(61, "peas", "chest", unit="bag", form="frozen", t=day(1))
    new = home.bring_in(20, "peas", "chest", unit="bag", form="frozen", t=day(20))
    door = home.say(Incident(store="chest", what="door open", start=instant(day(2)),
                             end=instant(day(10))), t=day(10))  # fmt: skip
    assert [use.lot for use in order(home)] == [new]
    home.look(old, "chest", seen=61, sound=52, mark=door, t=day(10) + 60)
    home.spoil(9, old, "chest", cause="other", t=day(10) + 90)
    found = order(home)
    assert [(use.lot, use.n) for use in found] == [(old, grains(52)), (new, grains(20))]
    # a later lot that softened goes before an older one that did not
    home.say(LotSet(lot=new, facts={"condition": "softer: thawed at the edge"}))
    assert [use.lot for use in order(home)] == [new, old]


def test_jars_that_froze_are_to_be_looked_at_and_no_date_says_they_are_sound() -> None:
    home = house()
    jars = home.bring_in(40, "green beans", "shed", unit="jar", form="home-canned", t=day(1))
    (before,) = order(home)
    home.say(Measured(store="shed", celsius_milli=-9_000), t=day(12))
    (use,) = order(home)
    assert (use.from_ms, use.to_ms) == (before.from_ms, before.to_ms)
    assert any("jars may freeze; look at the seals" in line for line in reasons(use, TABLES))
    home.say(Incident(store="shed", what="frost", start=instant(day(11)), end=instant(day(12))),
             t=day(14))  # fmt: skip
    assert order(home) == []
    keeping = Keeping(home.book, TABLES)
    there = placements(keeping, home.lot(jars), ms(day(15)), ["back-room", "shed"])
    assert {one.store: any("freeze" in said for said in one.harms) for one in there} == {
        "back-room": False, "shed": True,
    }  # fmt: skip


def test_the_cold_porch_does_otherwise_to_every_crop() -> None:
    home = house()
    lots = {
        food: home.bring_in(n, food, "porch", t=day(1))
        for food, n in (("potatoes", 70), ("apples", 40), ("butternut squash", 11), ("onions", 35),
                        ("beets", 14))
    }  # fmt: skip
    dates = {use.food: (use.from_ms, use.to_ms) for use in order(home)}
    for night in (5, 6):
        home.say(Measured(store="porch", celsius_milli=-8_333), t=day(night))
    said = {use.food: " ".join(reasons(use, TABLES)) for use in order(home)}
    # Handbook 66, 1968: -1.5 C; Oregon State: -1 C; Cornell: -0.6 C
    assert "Down to -8 C (17 F): freezes at -1 C (29 F) (USDA)." in said["apples"]
    assert "freezes at -1 C (31 F) (Cornell Cooperative Extension)" in said["onions"]
    for food in ("potatoes", "beets"):
        assert "may freeze (no limit of its own was read)" in said[food]
    assert (
        "chilled below 10 C (50 F), so it keeps less (common knowledge" in said["butternut squash"]
    )
    for use in order(home):
        # cold used no more life than the porch as stated would have
        assert use.from_ms is not None
        assert use.from_ms >= (dates[use.food][0] or 0)
    home.say(Incident(store="porch", what="frost", start=instant(day(5)), end=instant(day(7))),
             t=day(8))  # fmt: skip
    assert order(home) == []
    frost = home.records[-1].name
    home.look(lots["onions"], "porch", seen=35, sound=35, mark=frost, t=day(9))
    assert [use.food for use in order(home)] == ["onions"]


def test_garlic_cures_then_keeps_and_what_is_for_seed_is_not_offered() -> None:
    home = house()
    lot = home.bring_in(57, "garlic", "back-room", unit="head", on="2026-07-18")
    hold = home.hold(lot)
    assert order(home) == []
    home.release(hold, lot, t=day(15))
    home.say(LotSet(lot=lot, facts={"keeping_from": "2026-08-15"}), t=day(15) + 1)
    home.set_aside(lot, "back-room", 14, t=day(15) + 2)
    (use,) = order(home)
    assert use.n == grains(43)
    begins = ms(day(15)) - 8 * 3_600_000
    assert use.since == begins
    assert any(line.startswith("Cured before it is stored, 14 days at 27 C (80 F) or so")
               for line in reasons(use, TABLES))  # fmt: skip
    seed = home.lot(lot)
    assert sum(parcel.n for parcel in seed.parcels if parcel.asides) == grains(14)


def test_acorn_squash_is_not_said_to_be_cured() -> None:
    home = house()
    home.bring_in(5, "acorn squash", "back-room", unit="squash", t=day(1))
    home.bring_in(5, "butternut squash", "back-room", unit="squash", t=day(1))
    acorn, butternut = order(home)
    assert not any(line.startswith("Cured") for line in reasons(acorn, TABLES))
    assert any(line.startswith("Cured") for line in reasons(butternut, TABLES))
