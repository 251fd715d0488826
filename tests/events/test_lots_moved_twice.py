"""Two people carry the same crate to two places: one crate is left, and where is a question."""

from tests.build import Household


def crate_moved_twice() -> tuple[Household, str]:
    house = Household()
    crate = house.bring_in(8, "squash", "shed", unit="piece")
    house.move(8, crate, "shed", "back-room", by="gardener")
    house.move(8, crate, "shed", "cellar", by="cook", device="cook")
    assert house.stores(crate) == {"back-room": 8}
    (asked,) = house.concerns("moved-short")
    assert {asked.store, asked.other_store} == {"back-room", "cellar"}
    return house, crate


def test_a_take_where_the_first_move_went_answers() -> None:
    house, crate = crate_moved_twice()
    house.eat(1, crate, "back-room")
    assert house.stores(crate) == {"back-room": 7}
    assert house.kinds() == []


def test_a_take_where_the_second_move_went_answers_and_the_crate_is_there() -> None:
    house, crate = crate_moved_twice()
    house.eat(1, crate, "cellar")
    assert house.stores(crate) == {"cellar": 7}
    assert house.kinds() == []
    assert house.balance(crate) == {"in": 8, "consumed": 1, "on_hand": 7}


def test_a_take_of_no_particular_place_leaves_the_question() -> None:
    house, crate = crate_moved_twice()
    house.eat(1, crate)
    assert house.kinds() == ["moved-short"]


def test_more_than_the_second_move_said_is_still_unsaid() -> None:
    house = Household()
    crate = house.bring_in(8, "squash", "shed", unit="piece")
    house.move(8, crate, "shed", "back-room", by="gardener")
    house.move(3, crate, "shed", "cellar", by="cook", device="cook")
    house.eat(5, crate, "cellar")
    assert house.stores(crate) == {"back-room": 3}
    (carried,) = house.concerns()
    assert (carried.kind, carried.n) == ("carried-unsaid", 2 * 5_040_000)
