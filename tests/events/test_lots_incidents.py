"""Stories of a store gone warm or cold, and of a store gone through from end to end."""

import pytest

from tests.build import Household, between, instant, makes


def outage(
    house: Household,
    store: str = "freezer",
    start: float = 30,
    end: float = 60,
    written: float = 99,
) -> str:
    """Something befell the store between those two minutes."""
    return house.incident(store, instant(start), instant(end), t=written)


def test_all_food_that_stood_there_is_held() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    power = outage(house)
    assert house.under(power, peas) == {"freezer": 6}
    assert house.kinds() == []


def test_food_in_a_part_of_the_store_is_held() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer/basket", t=0)
    power = outage(house)
    assert house.under(power, peas) == {"freezer/basket": 6}


def test_food_known_only_for_a_store_around_it_may_have_stood_there() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "shed", t=0)
    power = outage(house, "shed/freezer")
    assert house.under(power, peas) == {"shed": 6}


def test_food_known_only_for_the_household_is_a_concern_and_no_hold() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "", t=0)
    outage(house, "shed/freezer")
    assert house.held(peas) == {}
    assert house.kinds() == ["may-have-stood"]


def test_food_that_stood_elsewhere_is_not_held() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "cellar", t=0)
    outage(house)
    assert house.held(peas) == {}
    assert house.kinds() == []


def test_food_that_left_before_or_came_after_is_not_held() -> None:
    house = Household()
    left = house.bring_in(6, "peas", "freezer", t=0)
    came = house.bring_in(6, "corn", "cellar", t=0)
    house.move(6, left, "freezer", "cellar", t=20)
    house.move(6, came, "cellar", "freezer", t=70)
    outage(house)
    assert house.held(left) == house.held(came) == {}


def test_food_that_left_during_it_is_held_where_it_is() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    house.move(2, peas, "freezer", "kitchen", t=45)
    power = outage(house)
    assert house.under(power, peas) == {"freezer": 4, "kitchen": 2}


def test_food_that_came_in_during_it_is_held() -> None:
    house = Household()
    corn = house.bring_in(6, "corn", "cellar", t=0)
    house.move(2, corn, "cellar", "freezer", t=45)
    power = outage(house)
    assert house.under(power, corn) == {"freezer": 2}


def test_its_bounds_are_read_at_their_widest() -> None:
    """The door was open a day, some time between the two: what left in between may have been warm."""
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    house.move(2, peas, "freezer", "kitchen", t=25)
    came = house.bring_in(6, "corn", "cellar", t=0)
    house.move(6, came, "cellar", "freezer", t=65)
    door = house.incident("freezer", between(20, 30), between(60, 70), t=99)
    assert house.under(door, peas) == {"freezer": 4, "kitchen": 2}
    assert house.under(door, came) == {"freezer": 6}


def test_without_an_end_it_lasted_until_it_was_written() -> None:
    house = Household()
    corn = house.bring_in(6, "corn", "cellar", t=0)
    house.move(2, corn, "cellar", "freezer", t=80)
    house.move(2, corn, "cellar", "freezer", t=120)
    power = house.incident("freezer", instant(30), t=99)
    assert house.under(power, corn) == {"freezer": 2}
    assert house.stores(corn) == {"cellar": 2, "freezer": 4}


def test_what_a_record_may_have_brought_in_by_then_is_read_at_its_earliest() -> None:
    house = Household()
    corn = house.bring_in(6, "corn", "cellar", t=0)
    house.move(2, corn, "cellar", "freezer", on=between(50, 80), written=81)
    power = outage(house)
    assert house.under(power, corn) == {"freezer": 2}


def test_nothing_stands_before_the_earliest_moment_of_its_making() -> None:
    house = Household()
    may = house.bring_in(6, "peas", "freezer", on=between(50, 80), written=80)
    not_yet = house.bring_in(6, "corn", "freezer", on=between(61, 80), written=81)
    power = outage(house)
    assert house.under(power, may) == {"freezer": 6}
    assert house.held(not_yet) == {}


def test_food_made_from_it_in_that_time_carries_the_hold() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    (soup,) = house.put_up([house.draw(2, peas, "freezer")], [makes(2, "soup", "shelf")], t=45)
    power = outage(house)
    assert house.under(power, soup) == {"shelf": 2}


def test_what_was_eaten_before_it_was_known_is_listed() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    house.eat(1, peas, "freezer", t=20)
    house.eat(1, peas, "freezer", t=70)
    outage(house)
    assert house.kinds() == ["used-before-hold"]


def test_what_was_eaten_before_it_was_known_and_written_down_after_is_listed_so() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    outage(house)
    house.eat(1, peas, "freezer", t=70, written=120, device="cook")
    assert house.kinds() == ["used-before-hold"]


def test_what_was_eaten_after_it_was_known_is_a_hold_broken() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    outage(house)
    house.eat(1, peas, "freezer", t=120)
    assert house.kinds() == ["held-used"]


def test_a_look_that_names_it_ends_the_hold_for_what_was_sound_there_alone() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    corn = house.bring_in(5, "corn", "freezer", t=0)
    house.move(2, peas, "freezer", "kitchen", t=70)
    power = outage(house)
    house.look(peas, "freezer", sound=3, mark=power)
    assert house.under(power, peas) == {"freezer": 1, "kitchen": 2}
    assert house.under(power, corn) == {"freezer": 5}


def test_a_look_that_names_no_incident_ends_nothing() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    power = outage(house)
    house.look(peas, "freezer", sound=6)
    assert house.under(power, peas) == {"freezer": 6}


def test_a_voided_incident_holds_nothing() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    house.void(outage(house))
    assert house.held(peas) == {}


def test_an_incident_of_the_whole_house_holds_everything_in_it() -> None:
    house = Household()
    peas = house.bring_in(6, "peas", "freezer", t=0)
    salt = house.bring_in(2, "salt", "", t=0)
    flood = outage(house, "")
    assert house.under(flood, peas) == {"freezer": 6}
    assert house.under(flood, salt) == {"": 2}


def test_gone_through_and_not_named_is_in_doubt() -> None:
    house = Household()
    lentils = house.bring_in(7, "lentils", "larder/top")
    elsewhere = house.bring_in(3, "rice", "hall")
    house.go_through("larder")
    assert house.doubted(lentils) == {"larder/top": 7}
    assert house.doubted(elsewhere) == {}
    assert house.balance(lentils) == {"in": 7, "on_hand": 7}


def test_what_the_deed_names_is_not_in_doubt_whatever_the_order() -> None:
    house = Household()
    rice = house.bring_in(5, "rice", "larder")
    salt = house.bring_in(2, "salt", "larder/top")
    through = house.count(5, rice, "larder")
    house.go_through("larder", deed=through)
    house.count(2, salt, "larder/top", deed=through)
    assert house.doubted(rice) == house.doubted(salt) == {}


def test_a_count_of_another_day_does_not_answer_for_it() -> None:
    house = Household()
    rice = house.bring_in(5, "rice", "larder")
    house.count(5, rice, "larder")
    house.go_through("larder")
    assert house.doubted(rice) == {"larder": 5}


def test_it_doubts_lots_heard_of_only_later_but_nothing_made_after_it() -> None:
    house = Household()
    through = house.go_through("larder", t=20)
    late = house.bring_in(5, "rice", "larder", t=5, written=40, device="cook")
    after = house.bring_in(5, "salt", "larder", t=30)
    assert through
    assert house.doubted(late) == {"larder": 5}
    assert house.doubted(after) == {}


def doubted() -> tuple[Household, str]:
    house = Household()
    lentils = house.bring_in(7, "lentils", "larder")
    house.go_through("larder")
    return house, lentils


def test_seen_again_it_is_sure() -> None:
    house, lentils = doubted()
    house.count(7, lentils, "larder")
    assert house.doubted(lentils) == {}
    assert house.kinds() == []


def test_seen_in_part_it_is_sure_in_part() -> None:
    house, lentils = doubted()
    house.count(2, lentils, "larder", part=True)
    assert house.doubted(lentils) == {"larder": 5}
    house.look(lentils, "larder", seen=4)
    assert house.doubted(lentils) == {"larder": 3}


def test_moved_it_is_sure() -> None:
    house, lentils = doubted()
    house.move(3, lentils, "larder", "kitchen")
    assert house.doubted(lentils) == {"larder": 4}
    assert house.stores(lentils) == {"larder": 4, "kitchen": 3}


def test_taken_it_is_gone_from_what_was_doubted() -> None:
    house, lentils = doubted()
    house.eat(3, lentils, "larder")
    assert house.doubted(lentils) == {"larder": 4}


def test_what_is_in_doubt_goes_last() -> None:
    house, lentils = doubted()
    house.look(lentils, "larder", seen=3)
    house.eat(2, lentils, "larder")
    assert house.doubted(lentils) == {"larder": 4}
    house.give(1, lentils, "larder")
    assert house.doubted(lentils) == house.stores(lentils) == {"larder": 4}


def test_what_is_in_doubt_goes_after_held_food() -> None:
    house, lentils = doubted()
    house.look(lentils, "larder", seen=3)
    house.hold(lentils, "larder", 3)
    assert house.held(lentils) == {"larder": 3}
    house.eat(1, lentils, "larder")
    assert house.doubted(lentils) == {"larder": 4}
    assert house.held(lentils) == {"larder": 2}


@pytest.mark.parametrize("cause", ["mould", None])
def test_thrown_out_for_another_cause_it_still_goes_last(cause: str | None) -> None:
    house, lentils = doubted()
    house.look(lentils, "larder", seen=3)
    if cause is None:
        house.spoil(2, lentils, "larder")
    else:
        house.spoil(2, lentils, "larder", cause="mould")
    assert house.doubted(lentils) == {"larder": 4}


def test_missing_and_not_found_take_what_is_in_doubt_first() -> None:
    house, lentils = doubted()
    house.look(lentils, "larder", seen=3)
    house.count(6, lentils, "larder")
    assert house.doubted(lentils) == {}
    house, lentils = doubted()
    house.look(lentils, "larder", seen=3)
    house.spoil(4, lentils, "larder", cause="not found")
    assert house.doubted(lentils) == {}
    assert house.stores(lentils) == {"larder": 3}


def test_counted_elsewhere_what_is_in_doubt_was_carried() -> None:
    house, lentils = doubted()
    house.count(7, lentils, "barn")
    assert house.stores(lentils) == {"barn": 7}
    assert house.doubted(lentils) == {}


def test_going_through_again_and_voiding_it() -> None:
    house = Household()
    lentils = house.bring_in(7, "lentils", "larder")
    through = house.go_through("larder")
    house.void(through)
    assert house.doubted(lentils) == {}


def test_missing_takes_what_is_in_doubt_before_what_is_sure_even_if_it_is_marked() -> None:
    house = Household()
    lentils = house.bring_in(7, "lentils", "larder")
    house.move(3, lentils, "larder", "hall")
    house.hold(lentils, "larder", 4)
    house.go_through("larder")
    house.move(3, lentils, "hall", "larder")
    house.count(6, lentils, "larder")
    assert house.held(lentils) == {"larder": 3}
    assert house.unmarked(lentils) == {"larder": 3}


def test_what_is_in_doubt_is_carried_last() -> None:
    house = Household()
    lentils = house.bring_in(7, "lentils", "larder")
    house.move(2, lentils, "larder", "barn")
    house.go_through("larder")
    house.eat(1, lentils, "kitchen")
    assert house.stores(lentils) == {"larder": 5, "barn": 1}


def test_what_is_carried_into_a_store_around_it_meanwhile_may_have_stood_there() -> None:
    house = Household()
    corn = house.bring_in(6, "corn", "cellar", t=0)
    house.move(2, corn, "cellar", "shed", t=45)
    house.move(1, corn, "cellar", "", t=46)
    power = outage(house, "shed/freezer")
    assert house.under(power, corn) == {"shed": 2}
