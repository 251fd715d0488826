"""Last week in figures, each sum by hand."""

from events.kinds import Consumed, StoreSet
from service.digests.figures import Between, set_off
from service.digests.figures import figures as figures_of
from tests.build import Household, ms
from tests.tale import About, amount, day, grains, makes


def house() -> Household:
    home = Household()
    home.say(StoreSet(store="kitchen", facts={"kind": "kitchen"}))
    return home


def figures(home: Household, start: float, end: float) -> list[str]:
    return [item.text for item in figures_of(home.book, ms(start), ms(end))]


def test_what_was_eaten_put_up_brought_in_lost_given_and_planted() -> None:
    home = house()
    old = home.bring_in(40, "apples", "cellar", t=day(1) + 10)
    home.eat(1, old, "cellar", t=day(2))
    # the week begins on the 3rd
    home.eat(2, old, "cellar", t=day(4))
    home.eat("1/2", old, "cellar", t=day(5))
    home.spoil(3, old, "cellar", cause="rot", t=day(5) + 5)
    home.spoil(1, old, "cellar", t=day(5) + 6)
    home.give(4, old, "cellar", t=day(6))
    garlic = home.bring_in(30, "garlic", "cellar", unit="head", t=day(6) + 1)
    home.plant(10, garlic, "cellar", t=day(6) + 2)
    home.put_up([home.draw(9, old, "cellar")], [makes(5, "apple sauce", "cellar")], t=day(7))
    assert figures(home, day(3), day(10)) == [
        "eaten: 2 1/2 lb apples",
        "put up: 5 jars apple sauce",
        "brought in: 30 heads garlic",
        "lost: 1 lb apples (no cause said), 3 lb apples (rot)",
        "also: given 4 lb apples; planted 10 heads garlic",
    ]
    assert figures(home, day(10), day(17)) == []


def test_units_are_not_added_up_and_repacking_is_no_bringing_in() -> None:
    home = house()
    loose = home.bring_in(10, "plums", "kitchen", t=day(2))
    jars = home.bring_in(4, "plums", "kitchen", unit="jar", t=day(2) + 1)
    home.repack([home.draw(5, loose, "kitchen")], [makes(9, "plums", "kitchen", unit="bag")],
                t=day(3))  # fmt: skip
    home.eat(1, loose, "kitchen", t=day(4))
    home.eat(1, jars, "kitchen", t=day(4) + 1)
    assert figures(home, day(1), day(8)) == [
        "eaten: 1 jar plums, 1 lb plums",
        "brought in: 4 jars plums, 10 lb plums",
    ]


def test_an_estimate_keeps_its_range() -> None:
    home = house()
    nuts = home.bring_in(About(26, 22, 30), "walnuts", "kitchen", t=day(2))
    home.eat(About(4, 3, 5), nuts, "kitchen", t=day(3))
    assert figures(home, day(1), day(8)) == [
        "eaten: about 4 (3-5) lb walnuts",
        "brought in: about 26 (22-30) lb walnuts",
    ]


def test_what_is_weighed_light_has_shrunk() -> None:
    home = house()
    onions = home.bring_in(30, "onions", "kitchen", form="fresh", t=day(2))
    home.weigh(28, onions, "kitchen", t=day(5))
    assert figures(home, day(4), day(8)) == ["also: shrunk 2 lb onions"]


def test_many_foods_are_counted() -> None:
    home = house()
    for name in ("apples", "beets", "carrots", "damsons", "eggs", "figs", "garlic"):
        home.bring_in(1, name, "kitchen", t=day(2) + ord(name[0]))
    (line,) = figures(home, day(1), day(8))
    assert line == (
        "brought in: 1 lb apples, 1 lb beets, 1 lb carrots, 1 lb damsons and 3 more foods"
    )


def pick(home: Household, lot: str, jars: int, at: float) -> None:
    """Someone took jars there and did not know the lot; the device chose this one."""
    body = Consumed(lot=lot, amount=amount(jars, "jar"), store="kitchen", picked=True)
    home.say(body, t=at)


def two_lots(home: Household) -> tuple[str, str]:
    first = home.bring_in(2, "beans", "kitchen", unit="jar", t=day(2))
    return first, home.bring_in(8, "beans", "kitchen", unit="jar", t=day(2) + 1)


BEANS = Between("beans", "jar", "kitchen")


def test_a_wrong_lot_picked_and_a_count_that_misses_the_right_one_are_one_thing() -> None:
    home = house()
    first, second = two_lots(home)
    pick(home, first, 5, day(4))  # 2 were there: 3 found
    deed = home.count(0, first, "kitchen", t=day(6))
    home.count(5, second, "kitchen", t=day(6) + 1, deed=deed)  # 8 less 3 missing
    assert set_off(home.book, ms(day(1)), ms(day(8))) == ({}, {})
    assert figures(home, day(3), day(8)) == ["eaten: 5 jars beans"]


def test_what_is_left_of_it_is_shown() -> None:
    home = house()
    first, second = two_lots(home)
    pick(home, first, 5, day(4))
    deed = home.count(0, first, "kitchen", t=day(6))
    home.count(4, second, "kitchen", t=day(6) + 1, deed=deed)  # 4 missing, 3 found: 1
    assert set_off(home.book, ms(day(1)), ms(day(8))) == ({}, {BEANS: grains(1)})
    assert figures(home, day(3), day(8))[-1] == "also: counts miss 1 jar beans in kitchen"


def test_so_is_what_is_left_the_other_way_round_and_of_an_earlier_stretch() -> None:
    home = house()
    first, second = two_lots(home)
    pick(home, first, 5, day(4))  # 3 found
    home.count(7, second, "kitchen", t=day(5))  # 1 missing: 2 found are left
    home.count(7, second, "kitchen", t=day(6))
    assert set_off(home.book, ms(day(1)), ms(day(8))) == ({BEANS: grains(2)}, {})


def test_a_count_in_between_keeps_them_apart() -> None:
    home = house()
    first, second = two_lots(home)
    pick(home, first, 5, day(4))
    home.count(8, second, "kitchen", t=day(5))
    home.count(5, second, "kitchen", t=day(6))
    assert set_off(home.book, ms(day(1)), ms(day(8))) == ({BEANS: grains(3)}, {BEANS: grains(3)})


def test_found_in_one_week_and_missed_in_the_next_are_set_off_too() -> None:
    home = house()
    first, second = two_lots(home)
    pick(home, first, 5, day(4))
    deed = home.count(0, first, "kitchen", t=day(12))
    home.count(4, second, "kitchen", t=day(12) + 1, deed=deed)
    assert set_off(home.book, ms(day(8)), ms(day(15))) == ({}, {BEANS: grains(1)})
    assert set_off(home.book, ms(day(1)), ms(day(8))) == ({BEANS: grains(3)}, {})


def test_another_place_and_another_food_are_left_alone() -> None:
    home = house()
    first, _ = two_lots(home)
    pears = home.bring_in(6, "pears", "cellar", unit="jar", t=day(2) + 2)
    pick(home, first, 5, day(4))
    home.count(4, pears, "cellar", t=day(6))
    found, missing = set_off(home.book, ms(day(1)), ms(day(8)))
    assert found == {BEANS: grains(3)}
    assert missing == {Between("pears", "jar", "cellar"): grains(2)}
    assert figures(home, day(3), day(8))[1:] == [
        "also: counts miss 2 jars pears in cellar; found 3 jars beans in kitchen"
    ]  # fmt: skip
