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


def test_a_weighing_shrinks_only_food_said_to_be_fresh_or_drying() -> None:
    for form, term in (("fresh", "shrunk"), ("drying", "shrunk"), (None, "missing")):
        house = Household()
        roots = house.bring_in(26, "beets", "bin", unit="lb", form=form)
        house.weigh(25, roots, "bin")
        assert house.balance(roots) == {"in": 26, term: 1, "on_hand": 25}
