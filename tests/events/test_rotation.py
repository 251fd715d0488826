"""What to use first."""

from events.keeping.life import Life, NoLife
from events.kinds import FoodSet, PutUp, Received, StoreSet, Yield
from events.readings.reasons import reasons
from events.readings.rotation import DAY, Use, undecided, use_first
from events.tables import load
from tests.build import Household, ms
from tests.tale import SOME, amount, day, grains

TABLES = load()


def house() -> Household:
    home = Household()
    for store, kind in (
        ("kitchen", "kitchen"), ("back-room", "room"), ("barn", "outbuilding"), ("bed", "ground"),
        ("chest", "freezer"), ("cellar", "cellar"),
    ):  # fmt: skip
        home.say(StoreSet(store=store, facts={"kind": kind}))
    return home


def order(home: Household) -> list[Use]:
    return use_first(home.book, TABLES)


def foods(home: Household) -> list[str]:
    return [use.food for use in order(home)]


def test_open_packages_come_before_all_else_the_longest_open_first() -> None:
    home = house()
    potatoes = home.bring_in(10, "potatoes", "kitchen", on="2026-06-01")
    beans = home.bring_in(6, "green beans", "kitchen", unit="jar", form="home-canned")
    plums = home.bring_in(6, "plums", "kitchen", unit="jar", form="home-canned")
    home.open(1, plums, "kitchen", t=day(5))
    home.open(1, beans, "kitchen", t=day(6))
    found = order(home)
    assert [(use.lot, use.group) for use in found] == [
        (plums, "open"), (beans, "open"), (potatoes, "dated"), (beans, "dated"), (plums, "dated"),
    ]  # fmt: skip
    assert [use.n for use in found] == [grains(n) for n in (1, 1, 10, 5, 5)]
    assert found[0].opened == found[0].since == ms(day(5))
    assert isinstance(found[0].life, NoLife)


def test_closed_food_comes_by_the_low_end_of_its_published_life_not_by_its_age() -> None:
    home = house()
    home.bring_in(5, "hubbard squash", "back-room", unit="squash", on="2026-09-15",
                  written=day(90))  # fmt: skip
    home.bring_in(5, "butternut squash", "back-room", unit="squash", on="2026-09-20")
    home.bring_in(5, "acorn squash", "back-room", unit="squash", on="2026-10-10")
    # 15 Sep + 152 days, 20 Sep + 61, 10 Oct + 35
    assert foods(home) == ["acorn squash", "butternut squash", "hubbard squash"]


def test_the_dates_are_the_days_of_the_table_from_the_day_it_was_put_up() -> None:
    home = house()
    home.bring_in(12, "green beans", "back-room", unit="jar", form="home-canned", on="2026-08-14",
                  written=day(20))  # fmt: skip
    (use,) = order(home)
    begins = ms(day(14)) - 8 * 3_600_000  # the stories' days begin at 08:00
    assert use.since == begins
    assert use.from_ms == begins + 182 * DAY
    assert use.to_ms == begins + DAY - 1 + 365 * DAY


def test_made_at_counts_where_it_came_in_later() -> None:
    home = house()
    home.bring_in(3, "plums", "back-room", unit="jar", form="home-canned", made_at="2026-07",
                  t=day(10))  # fmt: skip
    (use,) = order(home)
    assert isinstance(use.life, Life)
    assert use.from_ms == ms(day(1)) - 8 * 3_600_000 - 31 * DAY + use.life.low_days * DAY


def test_what_was_cured_keeps_from_the_end_of_curing() -> None:
    home = house()
    onions = Received(food="onions", amount=amount(40, "lb"), store="kitchen",
                      keeping_from="2026-08-20")  # fmt: skip
    home.say(onions, t=day(6))
    (use,) = order(home)
    begins = ms(day(20)) - 8 * 3_600_000
    assert (use.since, use.since_latest) == (begins, begins + DAY - 1)


def test_what_the_day_of_making_was_may_be_learnt_later() -> None:
    home = house()
    lot = home.bring_in(3, "plums", "back-room", unit="jar", form="home-canned", t=day(10))
    home.learn(lot, {"made_at": "2026-08-03"})
    assert order(home)[0].since == ms(day(3)) - 8 * 3_600_000
    home.learn(lot, {"made_at": "the wet summer"})
    assert order(home)[0].since == ms(day(10))


def test_without_a_published_life_it_is_by_age_after_what_has_one() -> None:
    home = house()
    home.bring_in(2, "strawberries", "back-room", form="freeze-dried", t=day(9))
    home.bring_in(25, "rolled oats", "barn", unit="kg", t=day(3))
    home.bring_in(12, "plums", "back-room", unit="jar", form="home-canned", t=day(12))
    assert [(use.food, use.group) for use in order(home)] == [
        ("plums", "dated"), ("rolled oats", "by age"), ("strawberries", "by age"),
    ]  # fmt: skip
    assert order(home)[1].from_ms is None


def test_what_is_held_set_aside_or_in_doubt_is_left_out() -> None:
    home = house()
    beans = home.bring_in(9, "green beans", "back-room", unit="jar", form="home-canned")
    plums = home.bring_in(5, "plums", "back-room", unit="jar", form="home-canned")
    pears = home.bring_in(4, "pears", "cellar", unit="jar", form="home-canned")
    home.hold(beans, "back-room", 2)
    home.set_aside(beans, "back-room", 3)
    home.hold(plums)
    home.go_through("cellar")
    assert [(use.lot, use.n) for use in order(home)] == [(beans, grains(4))]
    assert pears not in [one.lot for one in undecided(home.book, TABLES)]


def test_what_is_all_gone_is_not_there_and_some_is() -> None:
    home = house()
    gone = home.bring_in(3, "carrots", "cellar")
    home.bring_in(SOME, "dried herbs", "kitchen", t=day(4))
    home.eat(3, gone, "cellar")
    assert [(use.food, use.n, use.low) for use in order(home)] == [("dried herbs", 0, 0)]


def test_one_lot_in_two_places_stands_twice_and_each_place_has_its_own_life() -> None:
    home = house()
    lot = home.bring_in(50, "potatoes", "cellar", on="2026-08-01")
    home.move(10, lot, "cellar", "kitchen")
    kitchen, cellar = order(home)
    assert (kitchen.store, kitchen.n) == ("kitchen", grains(10))
    assert (cellar.store, cellar.n) == ("cellar", grains(40))
    assert isinstance(kitchen.life, Life)
    assert kitchen.life.low_days == 14


def test_a_shelf_is_as_warm_as_its_room() -> None:
    home = house()
    home.bring_in(5, "potatoes", "kitchen/shelf-2")
    assert order(home)[0].group == "dated"


def test_what_still_grows_stands_last() -> None:
    home = house()
    home.bring_in(8, "parsnips", "bed", unit="row-foot", t=day(2))
    home.bring_in(25, "rolled oats", "barn", unit="kg", t=day(9))
    assert [(use.food, use.group) for use in order(home)] == [
        ("rolled oats", "by age"), ("parsnips", "in the ground"),
    ]  # fmt: skip


def test_another_name_the_household_gave_finds_the_life() -> None:
    home = house()
    home.bring_in(6, "thighs", "chest", unit="bag", form="frozen")
    assert order(home)[0].group == "by age"
    home.say(FoodSet(food="thighs", facts={"other_names": "chicken thighs"}))
    assert order(home)[0].group == "dated"


def test_a_neighbours_jar_of_unknown_making_is_not_offered() -> None:
    home = house()
    own = home.bring_in(4, "relish", "back-room", unit="jar", form="home-canned")
    gift = home.bring_in(1, "relish", "back-room", unit="jar", form="home-canned", origin="gift")
    plain = home.bring_in(2, "plums", "back-room", unit="jar", form="home-canned", origin="gift")
    found = home.bring_in(5, "unidentified, red", "back-room", unit="jar", form="home-canned")
    assert [use.lot for use in order(home)] == [own, plain]
    assert [one.lot for one in undecided(home.book, TABLES)] == [gift, found]
    home.learn(gift, {"method": "boiling water, tested recipe, 15 min"})
    assert gift in [use.lot for use in order(home)]


def test_nor_is_what_was_packed_anew_from_it() -> None:
    home = house()
    gift = home.bring_in(4, "beans in brine", "back-room", unit="jar", form="home-canned",
                         origin="exchange")  # fmt: skip
    pints = Yield(food="beans in brine", form="home-canned", amount=amount(8, "pint"),
                  store="back-room")  # fmt: skip
    (small,) = home.repack([home.draw(4, gift, "back-room")], [pints])
    assert order(home) == []
    assert [one.lot for one in undecided(home.book, TABLES)] == [small]


def test_a_lot_that_nobody_has_brought_in_waits() -> None:
    home = house()
    home.eat(1, "porch:7:0", "kitchen")
    assert order(home) == []


def test_what_is_somebody_elses_is_kept_for_them() -> None:
    home = house()
    home.bring_in(5, "potatoes", "kitchen", owner="next door")
    home.bring_in(1, "relish", "back-room", unit="jar", form="home-canned", origin="gift",
                  owner="next door")  # fmt: skip
    assert order(home) == []
    assert undecided(home.book, TABLES) == []


def test_jars_that_were_put_up_with_acid_go_by_it() -> None:
    home = house()
    jars = [
        f"{home.say(PutUp(yields=(Yield(food='tomatoes', form='home-canned', amount=amount(7, 'pint'), store='back-room'),), acid=acid))}:0"
        for acid in ("bottled lemon juice", None)
    ]  # fmt: skip
    said = {use.lot: reasons(use, TABLES) for use in order(home)}
    assert ["Acid not known, read as low." in said[lot] for lot in jars] == [False, True]
    home.learn(jars[1], {"acid": "citric acid"})
    assert all("Acid not known" not in line for use in order(home) for line in reasons(use, TABLES))
