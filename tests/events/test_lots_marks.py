"""Stories of holds and of what is kept back: marks that lie on food and go where it goes."""

from tests.build import Household, instant, makes


def ten() -> tuple[Household, str]:
    house = Household()
    return house, house.bring_in(10, "venison", "freezer", unit="package")


def test_a_hold_on_the_whole_lot_lies_on_all_of_it_wherever_it_is() -> None:
    house, deer = ten()
    house.move(4, deer, "freezer", "porch")
    mark = house.hold(deer)
    assert house.under(mark, deer) == {"freezer": 6, "porch": 4}


def test_a_hold_on_the_whole_lot_lies_on_what_is_found_later() -> None:
    house, deer = ten()
    mark = house.hold(deer)
    house.count(12, deer, "freezer")
    assert house.under(mark, deer) == {"freezer": 12}


def test_a_hold_on_a_store_lies_on_all_of_it_there() -> None:
    house, deer = ten()
    house.move(4, deer, "freezer", "porch")
    mark = house.hold(deer, "porch")
    assert house.under(mark, deer) == {"porch": 4}
    house.count(5, deer, "porch", part=True)
    assert house.under(mark, deer)["porch"] >= 4


def test_a_mark_on_an_amount_lies_on_unmarked_food_first() -> None:
    house, deer = ten()
    first = house.hold(deer, "freezer", 4)
    second = house.hold(deer, "freezer", 6)
    assert house.under(first, deer) == {"freezer": 4}
    assert house.under(second, deer) == {"freezer": 6}
    assert house.unmarked(deer) == {}


def test_a_mark_on_more_than_is_known_there_brings_it() -> None:
    house, deer = ten()
    mark = house.hold(deer, "porch", 3)
    assert house.stores(deer) == {"freezer": 7, "porch": 3}
    assert house.under(mark, deer) == {"porch": 3}
    aside = house.set_aside(deer, "hall", 2)
    assert house.under(aside, deer) == {"hall": 2}


def test_food_carries_its_marks_wherever_it_goes() -> None:
    house, deer = ten()
    mark = house.hold(deer, "freezer", 10)
    house.move(3, deer, "freezer", "porch")
    assert house.under(mark, deer) == {"freezer": 7, "porch": 3}


def test_moving_takes_unmarked_food_first_then_set_aside_then_held() -> None:
    house, deer = ten()
    held, aside = house.hold(deer, "freezer", 3), house.set_aside(deer, "freezer", 3)
    house.move(4, deer, "freezer", "porch")
    assert house.unmarked(deer) == {"porch": 4}
    house.move(3, deer, "freezer", "hall")
    assert house.under(aside, deer) == {"hall": 3}
    assert house.under(held, deer) == {"freezer": 3}


def test_eating_takes_unmarked_food_first_then_set_aside_then_held() -> None:
    house, deer = ten()
    held, aside = house.hold(deer, "freezer", 3), house.set_aside(deer, "freezer", 3)
    house.eat(4, deer, "freezer")
    assert house.kinds() == []
    house.eat(2, deer, "freezer")
    assert house.kinds() == ["reserve-short"]
    assert house.under(aside, deer) == {"freezer": 1}
    house.eat(2, deer, "freezer")
    assert house.under(held, deer) == {"freezer": 2}
    assert "held-used" in house.kinds()


def test_giving_takes_unmarked_food_first_then_set_aside_then_held() -> None:
    house, deer = ten()
    held, aside = house.hold(deer, "freezer", 3), house.set_aside(deer, "freezer", 3)
    house.give(6, deer, "freezer")
    assert house.under(aside, deer) == {"freezer": 1}
    assert house.under(held, deer) == {"freezer": 3}
    house.give(2, deer, "freezer")
    assert "held-used" in house.kinds()


def test_carrying_held_food_is_no_use_of_it() -> None:
    house, deer = ten()
    house.hold(deer)
    house.move(4, deer, "freezer", "porch")
    assert house.kinds() == []


def test_throwing_out_takes_held_food_first_then_unmarked_last_what_is_set_aside() -> None:
    house, deer = ten()
    house.hold(deer, "freezer", 3)
    house.set_aside(deer, "freezer", 3)
    house.spoil(2, deer, "freezer")
    assert house.held(deer) == {"freezer": 1}
    house.spoil(3, deer, "freezer")
    assert house.held(deer) == {}
    assert house.unmarked(deer) == {"freezer": 2}
    house.spoil(3, deer, "freezer")
    assert house.aside(deer) == house.stores(deer) == {"freezer": 2}


def test_planting_takes_what_is_set_aside_first_and_uses_the_mark_up() -> None:
    house, deer = ten()
    house.set_aside(deer, "freezer", 4)
    house.plant(3, deer, "freezer")
    assert house.aside(deer) == {"freezer": 1}
    assert house.unmarked(deer) == {"freezer": 6}
    house.plant(3, deer, "freezer")
    assert house.aside(deer) == {}
    assert house.unmarked(deer) == {"freezer": 4}
    assert house.kinds() == []


def test_a_record_that_names_a_mark_takes_food_under_it_first() -> None:
    house, deer = ten()
    first = house.hold(deer, "freezer", 3)
    second = house.hold(deer, "freezer", 3)
    house.spoil(2, deer, "freezer", mark=second)
    assert house.under(second, deer) == {"freezer": 1}
    assert house.under(first, deer) == {"freezer": 3}
    house.move(2, deer, "freezer", "porch", mark=first)
    assert house.under(first, deer) == {"freezer": 1, "porch": 2}
    aside = house.set_aside(deer, "freezer", 3)
    house.eat(2, deer, "freezer", mark=aside)
    assert house.under(aside, deer) == {"freezer": 1}


def test_a_release_names_the_mark_that_it_ends() -> None:
    house, deer = ten()
    first = house.hold(deer)
    second = house.hold(deer, "freezer", 4)
    house.release(first, deer)
    assert house.held(deer) == house.under(second, deer) == {"freezer": 4}


def test_a_release_for_an_amount_ends_it_for_that_amount_there() -> None:
    house, deer = ten()
    mark = house.hold(deer)
    house.move(4, deer, "freezer", "porch")
    house.release(mark, deer, "porch", 3)
    assert house.under(mark, deer) == {"freezer": 6, "porch": 1}


def test_a_release_of_a_mark_that_is_not_on_the_lot_is_a_concern() -> None:
    house, deer = ten()
    house.release("hall:77", deer)
    assert house.kinds() == ["unknown-mark"]
    house.free("hall:78", deer)
    assert house.kinds() == ["unknown-mark", "unknown-mark"]


def test_freeing_ends_what_was_set_aside() -> None:
    house, deer = ten()
    aside = house.set_aside(deer, "freezer", 4)
    house.free(aside, deer, "freezer", 1)
    assert house.aside(deer) == {"freezer": 3}
    house.free(aside, deer)
    assert house.aside(deer) == {}
    assert house.unmarked(deer) == {"freezer": 10}


def test_set_aside_then_eaten_is_short_and_never_refused() -> None:
    """Two of three jars kept for a feast; a count finds one."""
    house = Household()
    jars = house.bring_in(3, "sour cherries", "shelf", unit="jar")
    house.set_aside(jars, "shelf", 2)
    house.count(1, jars, "shelf")
    assert house.aside(jars) == {"shelf": 1}
    assert house.balance(jars) == {"in": 3, "missing": 2, "on_hand": 1}
    (short,) = house.concerns("reserve-short")
    assert short.n == 5_040_000


def test_a_late_hold_from_before_the_meal_says_so() -> None:
    """The hold was known when they ate."""
    house, deer = ten()
    house.hold(deer, t=5)
    house.eat(1, deer, "freezer", t=9)
    assert house.kinds() == ["held-used"]


def test_a_hold_with_a_reach_back_lists_what_was_eaten_and_given_before_it_was_known() -> None:
    house = Household()
    deer = house.bring_in(10, "venison", "freezer", unit="package", t=0)
    house.eat(1, deer, "freezer", t=3)
    eaten = house.eat(1, deer, "freezer", t=6)
    given = house.give(2, deer, "freezer", t=7)
    house.hold(deer, since=instant(5), t=9)
    assert house.kinds() == ["used-before-hold", "used-before-hold"]
    assert {c.rests_on[0] for c in house.concerns()} | {
        c.rests_on[-1] for c in house.concerns()
    } >= {eaten, given}
    assert house.stores(deer) == house.held(deer) == {"freezer": 6}
    assert house.balance(deer) == {"in": 10, "consumed": 2, "given": 2, "on_hand": 6}


def test_a_hold_with_a_reach_back_holds_what_was_made_since() -> None:
    house = Household()
    deer = house.bring_in(10, "venison", "freezer", unit="package", t=0)
    (before,) = house.put_up([house.draw(2, deer, "freezer")], [makes(2, "stew", "shelf")], t=3)
    (after,) = house.put_up([house.draw(2, deer, "freezer")], [makes(2, "stew", "shelf")], t=7)
    mark = house.hold(deer, since=instant(5), t=9)
    assert house.under(mark, after) == {"shelf": 2}
    assert house.held(before) == {}
    assert house.under(mark, deer) == {"freezer": 6}


def test_a_hold_without_a_reach_back_holds_nothing_made_before_it() -> None:
    house, deer = ten()
    (stew,) = house.put_up([house.draw(2, deer, "freezer")], [makes(2, "stew", "shelf")])
    house.hold(deer)
    assert house.held(stew) == {}


def sausage() -> tuple[Household, str, str, str]:
    """Sausage of two deer: one is waiting for its test."""
    house = Household()
    one = house.bring_in(31, "venison", "freezer", unit="package")
    other = house.bring_in(19, "venison", "freezer", unit="package")
    mark = house.hold(other)
    (made,) = house.put_up(
        [house.draw(5, one, "freezer"), house.draw(4, other, "freezer")],
        [makes(12, "sausage", "freezer", unit="package")],
    )
    return house, other, made, mark


def test_what_is_made_with_held_food_carries_the_hold() -> None:
    house, other, made, mark = sausage()
    assert house.under(mark, made) == {"freezer": 12}
    assert house.kinds() == ["held-used"]
    (again,) = house.put_up([house.draw(2, made, "freezer")], [makes(2, "pie", "freezer")])
    assert house.under(mark, again) == {"freezer": 2}
    assert house.under(mark, other) == {"freezer": 15}


def test_released_whole_where_it_was_laid_it_ends_in_all_that_was_made() -> None:
    house, other, made, mark = sausage()
    (again,) = house.put_up([house.draw(2, made, "freezer")], [makes(2, "pie", "freezer")])
    house.release(mark, other)
    for lot in (other, made, again):
        assert house.held(lot) == {}


def test_released_for_an_amount_it_ends_there_alone() -> None:
    house, other, made, mark = sausage()
    house.release(mark, other, "freezer", 15)
    assert house.held(other) == {}
    assert house.under(mark, made) == {"freezer": 12}


def test_ended_by_a_look_it_ends_there_alone() -> None:
    house, other, made, mark = sausage()
    house.look(other, "freezer", sound=10, mark=mark)
    assert house.under(mark, other) == {"freezer": 5}
    assert house.under(mark, made) == {"freezer": 12}


def test_released_on_a_lot_made_from_it_it_ends_there_alone() -> None:
    house, other, made, mark = sausage()
    house.release(mark, made)
    assert house.held(made) == {}
    assert house.under(mark, other) == {"freezer": 15}


def test_what_a_remedy_draws_loses_that_hold() -> None:
    """Jars that did not seal are put up again in full: the remedy of that hold."""
    house = Household()
    beans = house.bring_in(7, "green beans", "bench", unit="jar")
    mark = house.hold(beans, "bench", 2, reason="suspect seal")
    (again,) = house.put_up(
        [house.draw(2, beans, "bench", mark=mark)], [makes(2, "green beans", "shelf")], remedy=mark
    )
    assert house.held(again) == {}
    assert house.stores(beans) == house.unmarked(beans) == {"bench": 5}
    assert house.concerns("held-used") == []


def test_a_remedy_ends_no_other_hold() -> None:
    house = Household()
    beans = house.bring_in(7, "green beans", "bench", unit="jar")
    gauge = house.hold(beans)
    seal = house.hold(beans, "bench", 2, reason="suspect seal")
    (again,) = house.put_up(
        [house.draw(2, beans, "bench", mark=seal)], [makes(2, "green beans", "shelf")], remedy=seal
    )
    assert house.under(gauge, again) == house.stores(again) == {"shelf": 2}


def test_what_is_made_with_food_set_aside_is_not_set_aside() -> None:
    house, deer = ten()
    house.set_aside(deer)
    (stew,) = house.put_up([house.draw(2, deer, "freezer")], [makes(2, "stew", "shelf")])
    assert house.aside(stew) == {}
    assert house.kinds() == ["reserve-short"]


def test_what_is_missing_loses_unmarked_food_first() -> None:
    house, deer = ten()
    house.hold(deer, "freezer", 4)
    house.count(5, deer, "freezer")
    assert house.held(deer) == {"freezer": 4}


def test_a_whole_lot_kept_back_keeps_back_what_is_found_later() -> None:
    house, deer = ten()
    aside = house.set_aside(deer)
    house.count(12, deer, "freezer")
    assert house.under(aside, deer) == {"freezer": 12}
