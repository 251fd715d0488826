"""Choices of the fold that could have gone otherwise: each a story that holds it."""

from tests.build import Household


def test_a_take_and_a_count_that_one_device_wrote_as_they_happened_are_not_asked_about() -> None:
    """One minute, one tablet, nothing typed: its own order is known. Another's is not."""
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar", t=0)
    house.count(9, jars, "cellar", t=10, on="2026-08-01T08:10Z", typed=None, device="tablet")
    house.eat(2, jars, "cellar", t=10, on="2026-08-01T08:10Z", typed=None, device="tablet")
    assert house.kinds() == []
    house.eat(1, jars, "cellar", t=10, on="2026-08-01T08:10Z", typed=None, device="phone")
    assert house.kinds() == ["before-or-after-count"]


def test_planting_held_stock_is_asked_about() -> None:
    house = Household()
    cloves = house.bring_in(9, "garlic", "loft")
    house.hold(cloves)
    house.plant(4, cloves, "loft")
    assert house.kinds() == ["held-used"]


def test_moving_held_food_is_not() -> None:
    house = Household()
    cloves = house.bring_in(9, "garlic", "loft")
    house.hold(cloves)
    house.move(9, cloves, "loft", "shed")
    assert house.kinds() == []
    assert house.held(cloves) == {"shed": 9}


def test_a_weighing_shrinks_only_food_said_to_be_fresh_curing_or_drying() -> None:
    for form, term in (
        ("fresh", "shrunk"),
        ("drying", "shrunk"),
        ("curing", "shrunk"),
        (None, "missing"),
    ):
        house = Household()
        roots = house.bring_in(26, "beets", "bin", unit="lb", form=form)
        house.weigh(25, roots, "bin")
        assert house.balance(roots) == {"in": 26, term: 1, "on_hand": 25}


def test_what_a_count_misses_is_free_food_then_set_aside_last_held() -> None:
    house = Household()
    cloves = house.bring_in(10, "garlic", "loft")
    house.set_aside(cloves, "loft", 3)
    house.hold(cloves, "loft", 2)
    house.count(4, cloves, "loft")
    assert house.aside(cloves) == {"loft": 2}
    assert house.held(cloves) == {"loft": 2}
    house.count(1, cloves, "loft")
    assert house.aside(cloves) == {}
    assert house.held(cloves) == {"loft": 1}


def test_food_said_more_exactly_may_have_stood_there_all_along() -> None:
    """Five known for the larder are seen on its top shelf, beside three that came there later."""
    house = Household()
    jars = house.bring_in(8, "plums", "cellar", unit="jar")
    house.move(5, jars, "cellar", "larder")
    house.move(3, jars, "cellar", "larder/top")
    house.count(8, jars, "larder/top")
    house.eat(5, jars, "larder/top")
    assert house.paths(jars) == {("cellar", "larder/top"): 3}
