"""What becomes of food where it stands: the freezer's door, frozen jars, the cold porch, curing."""

from events.kinds import Incident, LotSet, Measured, StoreSet, Yield
from events.readings.lived import Keeping
from events.readings.placing import placements
from events.readings.reasons import reasons
from events.readings.rotation import Use, use_first
from events.tables import load
from tests.build import Household, ms
from tests.tale import amount, day, grains, instant

TABLES = load()


def made(n: int, food: str, store: str, form: str) -> Yield:
    return Yield(food=food, form=form, amount=amount(n, "jar"), store=store)


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
    """Sixty-one bags, found open on the tenth, last known shut on the second: 52 hard, 6 cold, 3 warm."""
    home = house()
    old = home.bring_in(61, "peas", "chest", unit="bag", form="frozen", t=day(1))
    new = home.bring_in(20, "peas", "chest", unit="bag", form="frozen", t=day(20))
    door = home.say(Incident(store="chest", what="door open", start=f"{instant(day(2))}/{instant(day(10))}",
                             end=instant(day(10))), t=day(10))  # fmt: skip
    assert home.held(old) == {"chest": 61}
    assert [use.lot for use in order(home)] == [new]
    home.look(old, "chest", seen=61, sound=52, mark=door, t=day(10) + 60)
    (soup,) = home.put_up([home.draw(4, old, "chest", mark=door)], [made(5, "pea soup", "back-room", "home-canned")],
                          remedy=door, t=day(10) + 70)  # fmt: skip
    home.eat(2, old, "chest", mark=door, t=day(10) + 80)
    home.spoil(3, old, "chest", cause="other", mark=door, t=day(10) + 90)
    found = {use.lot: use for use in order(home)}
    assert found[old].n == grains(52)
    # what was made of it that evening has a life of its own, and its parent
    assert found[soup].since == ms(day(10) + 70)
    assert home.lot(soup).identity.parents == (old,)  # type: ignore[union-attr]
    assert home.balance(old) == {"in": 61, "drawn": 4, "consumed": 2, "spoiled": 3, "on_hand": 52}
    assert [use.lot for use in order(home) if use.food == "peas"] == [old, new]
    # a later lot that softened goes before an older one that did not
    home.say(LotSet(lot=new, facts={"condition": "softer: thawed at the edge"}))
    assert [use.lot for use in order(home) if use.food == "peas"] == [new, old]


def test_jars_that_froze_are_looked_at_twice_and_no_date_says_they_are_sound() -> None:
    """Forty quarts in the shed: still frozen when found; thawed, 3 cracked, 2 unsealed, 35 sealed."""
    home = house()
    jars = home.bring_in(40, "green beans", "shed", unit="jar", form="home-canned", t=day(1))
    (before,) = order(home)
    home.say(Measured(store="shed", celsius_milli=-9_000), t=day(12))
    (use,) = order(home)
    assert (use.from_ms, use.to_ms) == (before.from_ms, before.to_ms)
    assert any("jars may freeze; look at the seals" in line for line in reasons(use, TABLES))
    frost = home.say(Incident(store="shed", what="frost", start=instant(day(11)),
                              end=instant(day(12))), t=day(14))  # fmt: skip
    assert order(home) == []
    home.look(jars, "shed", seen=40, finding="still frozen", t=day(14) + 10)
    assert order(home) == []
    home.spoil(3, jars, "shed", cause="broken", mark=frost, t=day(17))
    home.spoil(2, jars, "shed", cause="seal failed", mark=frost, t=day(17) + 5)
    home.look(jars, "shed", seen=35, sound=35, mark=frost, t=day(17) + 10)
    later = home.bring_in(7, "green beans", "back-room", unit="jar", form="home-canned", t=day(18))
    home.say(LotSet(lot=jars, facts={"condition": "softer: frozen once"}))
    assert [(use.lot, use.n) for use in order(home)] == [(jars, grains(35)), (later, grains(7))]
    keeping = Keeping(home.book, TABLES)
    there = placements(keeping, home.lot(jars), ms(day(18)), ["back-room", "shed"])
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
    home.set_aside(lots["potatoes"], "porch", 15, t=day(8) + 1)
    assert sum(p.n for p in home.lot(lots["potatoes"]).parcels if p.asides) == grains(15)
    for food, sound in (("onions", 35), ("beets", 14), ("apples", 33), ("potatoes", 20)):
        home.look(lots[food], "porch", seen=sound, sound=sound, mark=frost, t=day(9))
    home.spoil(7, lots["apples"], "porch", cause="frozen", mark=frost, t=day(9) + 10)
    home.spoil(50, lots["potatoes"], "porch", cause="frozen", mark=frost, t=day(9) + 11)
    (cooked,) = home.put_up([home.draw(11, lots["butternut squash"], "porch", mark=frost)],
                            [made(9, "butternut squash", "chest", "frozen")],
                            remedy=frost, t=day(9) + 20)  # fmt: skip
    left = {use.lot: use for use in order(home)}
    told = {food: left[lot].n for food, lot in lots.items() if lot in left}
    assert [told[food] for food in ("onions", "beets", "apples")] == [
        grains(n) for n in (35, 14, 33)
    ]
    assert left[cooked].since == ms(day(9) + 20)
    assert "butternut squash" not in told
    # the seed went with the rest, and that is raised
    assert home.stores(lots["potatoes"]) == {"porch": 20}
    assert home.aside(lots["potatoes"]) == {}
    assert home.kinds() == ["reserve-short"]


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
    # the seed stands elsewhere, warmer, and stays out of the order until it is planted
    home.move(14, lot, "back-room", "kitchen", mark=home.records[-1].name, t=day(16))
    assert home.aside(lot) == {"kitchen": 14}
    assert [(use.store, use.n) for use in order(home)] == [("back-room", grains(43))]
    home.plant(14, lot, "kitchen", t=day(60))
    assert home.balance(lot) == {"in": 57, "planted": 14, "on_hand": 43}


def test_acorn_squash_is_not_said_to_be_cured() -> None:
    home = house()
    home.bring_in(5, "acorn squash", "back-room", unit="squash", t=day(1))
    home.bring_in(5, "butternut squash", "back-room", unit="squash", t=day(1))
    acorn, butternut = order(home)
    assert not any(line.startswith("Cured") for line in reasons(acorn, TABLES))
    assert any(line.startswith("Cured") for line in reasons(butternut, TABLES))


def test_roots_that_shrink_and_spoil_are_what_is_left_and_their_dates_stay() -> None:
    """Dug 210 lb, 204 after curing; 88 taken, 7 culled; 101 by the scale where 109 were due."""
    home = house()
    lot = home.bring_in(210, "potatoes", "porch", form="fresh", t=0)
    home.weigh(204, lot, "porch", t=day(15))
    (before,) = order(home)
    home.eat(88, lot, "porch", t=day(80))
    home.spoil(7, lot, "porch", cause="rot", t=day(90))
    home.weigh(101, lot, "porch", t=day(154))
    (after,) = order(home)
    assert (after.n, after.from_ms, after.to_ms) == (grains(101), before.from_ms, before.to_ms)
    assert home.balance(lot) == {
        "in": 210, "shrunk": 6 + 8, "consumed": 88, "spoiled": 7, "on_hand": 101,
    }  # fmt: skip
