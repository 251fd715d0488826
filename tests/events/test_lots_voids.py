"""Stories of mistakes taken back, brought back, and of the same thing written down twice."""

import pytest

from tests.build import Household, between, makes, said_by


def test_a_voided_record_no_longer_counts() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    eaten = house.eat(2, jars, "cellar")
    house.void(eaten)
    assert house.balance(jars) == {"in": 9, "on_hand": 9}
    assert not house.book.stands(eaten)
    assert house.kinds() == []


def test_voiding_the_void_brings_it_back_and_so_on() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    back = house.eat(2, jars, "cellar")
    for on_hand in (9, 7, 9, 7):
        back = house.void(back)
        assert house.lot(jars).on_hand == on_hand * 5_040_000


def test_two_voids_of_one_record_must_both_go_to_bring_it_back() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    eaten = house.eat(2, jars, "cellar")
    first, second = house.void(eaten), house.void(eaten, device="cook")
    house.void(first)
    assert house.balance(jars) == {"in": 9, "on_hand": 9}
    house.void(second)
    assert house.balance(jars) == {"in": 9, "consumed": 2, "on_hand": 7}


def test_a_void_that_arrives_first_waits_for_its_record() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar", t=0)
    house.void("cook:1", t=2)
    assert house.kinds() == ["unknown-record"]
    house.eat(2, jars, "cellar", t=1, device="cook")
    assert house.balance(jars) == {"in": 9, "on_hand": 9}
    assert house.kinds() == []


def test_voids_that_hang_on_each_other_in_a_ring_count_for_nothing() -> None:
    """Each phone takes back the other's taking back."""
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    eaten = house.eat(2, jars, "cellar")
    house.void("cook:1", device="gardener")
    house.void("gardener:1", device="cook")
    assert "void-ring" in house.kinds()
    assert house.balance(jars) == {"in": 9, "consumed": 2, "on_hand": 7}
    assert house.book.stands(eaten)


def test_what_a_ring_hangs_on_stands() -> None:
    """A ring of two, one of which also takes back a meal: the meal stands."""
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    eaten = house.eat(2, jars, "cellar")
    house.void("b:1", device="a")
    house.void("a:1", device="b")
    house.void("a:1", device="c")
    assert house.book.stands(eaten)
    assert house.balance(jars) == {"in": 9, "consumed": 2, "on_hand": 7}


def test_a_void_of_itself_counts_for_nothing() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    house.void("cook:1", device="cook")
    assert house.balance(jars) == {"in": 9, "on_hand": 9}


def test_the_bring_in_taken_back_leaves_what_was_logged_on_it() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    house.eat(2, jars, "cellar")
    house.move(3, jars, "cellar", "hall")
    house.void(said_by(jars))
    assert house.balance(jars) == {"found": 2, "consumed": 2}
    assert not house.lot(jars).stands
    assert "making-taken-back" in house.kinds()


def test_a_bring_in_taken_back_before_anybody_used_it_is_nobodys_concern() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    house.void(said_by(jars))
    assert house.stores(jars) == {}
    assert house.kinds() == []


def doubled() -> tuple[Household, str, str]:
    """The same nine jars, written down by two people."""
    house = Household()
    one = house.bring_in(9, "salsa", "shelf", unit="jar", device="cook", by="cook")
    other = house.bring_in(9, "salsa", "shelf", unit="jar", device="lodger", by="lodger")
    return house, one, other


def test_the_same_put_down_by_two_people_is_asked_about() -> None:
    house, one, other = doubled()
    (maybe,) = house.concerns()
    assert maybe.kind == "maybe-double"
    assert set(maybe.rests_on) == {said_by(one), said_by(other)}
    assert house.stores(one) == house.stores(other) == {"shelf": 9}


@pytest.mark.parametrize(
    ("one", "other", "asked"),
    [
        (("home-canned", None), (None, None), True),
        (("home-canned", None), ("Home-canned", None), True),
        (("home-canned", None), ("dried", None), False),
        ((None, "roma"), ("dried", None), True),
        ((None, "roma"), (None, "plum"), False),
    ],
)
def test_a_form_or_variety_that_one_left_out_is_asked_about_too(
    one: tuple[str | None, str | None], other: tuple[str | None, str | None], asked: bool
) -> None:
    house = Household()
    for who, (form, variety) in (("cook", one), ("lodger", other)):
        house.bring_in(
            9, "salsa", "shelf", unit="jar", form=form, variety=variety, device=who, by=who
        )
    assert house.kinds() == (["maybe-double"] if asked else [])


def test_of_three_alike_each_is_held_beside_one_that_it_may_be() -> None:
    house = Household()
    for who, form in (("cook", "dried"), ("lodger", "home-canned"), ("teen", "home-canned")):
        house.bring_in(9, "salsa", "shelf", unit="jar", device=who, by=who, form=form)
    (maybe,) = house.concerns()
    assert len(maybe.rests_on) == 2


def test_another_day_another_batch() -> None:
    house = Household()
    house.bring_in(9, "salsa", "shelf", unit="jar", on="2026-09-06", by="cook", device="cook",
                   written=60_000)  # fmt: skip
    house.bring_in(9, "salsa", "shelf", unit="jar", on="2026-09-06", by="lodger", device="lodger",
                   written=61_000)  # fmt: skip
    assert house.kinds() == ["maybe-double"]
    house.bring_in(9, "salsa", "shelf", unit="jar", on="2026-09-13", by="cook", device="cook",
                   written=70_000)  # fmt: skip
    assert house.kinds() == ["maybe-double"]


def test_two_people_on_two_days_put_down_two_batches() -> None:
    house = Household()
    for who, date in (("cook", "2026-09-06"), ("lodger", "2026-09-13")):
        house.bring_in(9, "salsa", "shelf", unit="jar", on=date, by=who, device=who, written=90_000)
    assert house.kinds() == []


def test_one_person_logging_two_loads_of_a_day_is_believed() -> None:
    house = Household()
    for _ in range(2):
        house.bring_in(7, "green beans", "shelf", unit="jar", by="cook", device="cook")
    assert house.kinds() == []


def test_another_amount_food_or_form_is_no_double() -> None:
    house = Household()
    house.bring_in(9, "salsa", "shelf", unit="jar", form="fresh", by="cook", device="cook")
    house.bring_in(8, "salsa", "shelf", unit="jar", by="lodger", device="lodger")
    house.bring_in(9, "chutney", "shelf", unit="jar", by="lodger", device="lodger")
    house.bring_in(9, "salsa", "shelf", unit="pint", by="lodger", device="lodger")
    house.bring_in(9, "salsa", "shelf", unit="jar", form="frozen", by="lodger", device="lodger")
    assert house.kinds() == []


def test_settled_as_two_batches_it_is_not_asked_again() -> None:
    house, _, _ = doubled()
    (maybe,) = house.concerns()
    house.settle(maybe)
    assert house.kinds() == []


def test_settled_as_a_double_one_goes_and_both_names_are_one_lot() -> None:
    house, one, other = doubled()
    house.eat(2, other, "shelf", device="lodger")
    house.void(said_by(other), same_as=said_by(one))
    assert house.kinds() == []
    for name in (one, other):
        assert house.lot(name).name == one
        assert house.balance(name) == {"in": 9, "consumed": 2, "on_hand": 7}
    house.eat(1, other, "shelf", device="lodger")
    assert house.stores(one) == {"shelf": 6}
    assert house.lot(one).names == {one, other}


def test_a_double_of_another_unit_names_no_lot() -> None:
    house = Household()
    jars = house.bring_in(9, "salsa", "shelf", unit="jar")
    pints = house.bring_in(9, "salsa", "shelf", unit="pint")
    house.eat(2, pints, "shelf")
    house.void(said_by(pints), same_as=said_by(jars))
    assert house.lot(pints).name == pints
    assert house.balance(jars) == {"in": 9, "on_hand": 9}
    assert house.balance(pints) == {"found": 2, "consumed": 2}


def test_a_double_making_names_its_lots_yield_by_yield() -> None:
    house = Household()
    fruit = house.bring_in(20, "plums", "cellar")
    yields = [makes(4, "jam", "shelf"), makes(2, "jelly", "shelf")]
    one = house.put_up([house.draw(6, fruit, "cellar")], yields)
    other = house.put_up([house.draw(6, fruit, "cellar")], yields, device="cook")
    house.eat(1, other[1], "shelf", device="cook")
    house.void(said_by(other[0]), same_as=said_by(one[0]))
    assert [house.lot(name).name for name in other] == one
    assert house.balance(one[1]) == {"in": 2, "consumed": 1, "on_hand": 1}
    assert house.balance(fruit) == {"in": 20, "drawn": 6, "on_hand": 14}


def test_a_double_hold_is_another_name_for_the_mark() -> None:
    house = Household()
    deer = house.bring_in(5, "venison", "freezer")
    one, other = house.hold(deer), house.hold(deer, device="cook")
    house.void(other, same_as=one)
    house.release(other, deer, device="cook")
    assert house.held(deer) == {}
    assert house.kinds() == []


def test_a_double_hold_is_another_name_also_on_what_was_made() -> None:
    house = Household()
    deer = house.bring_in(5, "venison", "freezer")
    one, other = house.hold(deer), house.hold(deer, device="cook")
    (pie,) = house.put_up([house.draw(2, deer, "freezer")], [makes(2, "pie", "shelf")])
    house.void(other, same_as=one)
    assert house.under(one, pie) == house.stores(pie)
    house.release(other, pie, device="cook")
    assert house.held(pie) == {}
    assert house.under(one, deer) == {"freezer": 3}
    assert house.concerns("unknown-mark") == []


def test_a_double_void_makes_the_other_name_known_to_lots_it_did_not_touch() -> None:
    """The hold was of one lot, the release names it on another: not its mark, under either name."""
    house = Household()
    deer = house.bring_in(5, "venison", "freezer")
    pork = house.bring_in(5, "pork", "freezer")
    one, other = house.hold(deer), house.hold(deer, device="cook")
    house.void(other, same_as=one)
    house.release(other, pork, device="cook")
    (unknown,) = house.concerns("unknown-mark")
    assert unknown.mark == one


def test_a_double_count_is_another_name_for_the_count() -> None:
    house = Household()
    jars = house.bring_in(18, "plums", "hall")
    one = house.count(11, jars, "hall")
    other = house.count(11, jars, "hall", device="cook")
    house.give(5, jars, "hall", explains=other, device="cook")
    house.void(other, same_as=one)
    assert house.balance(jars) == {"in": 18, "given": 5, "missing": 2, "on_hand": 11}
    assert house.concerns("explains-nothing") == []


def test_of_several_voids_the_newest_stamp_says_whose_double_it_is() -> None:
    house = Household()
    first = house.bring_in(9, "salsa", "shelf", unit="jar")
    second = house.bring_in(5, "salsa", "shelf", unit="jar")
    double = house.bring_in(9, "salsa", "shelf", unit="jar")
    newest = house.void(said_by(double), same_as=said_by(second), written=90)
    house.void(said_by(double), same_as=said_by(first), written=80, device="cook")
    assert house.lot(double).name == second
    house.void(newest)
    assert house.lot(double).name == first


def test_of_three_doubles_in_a_ring_the_oldest_stands() -> None:
    house = Household()
    lots = [house.bring_in(8, "kraut", "vault", unit="crock", device=d) for d in "abc"]
    for i, lot in enumerate(lots):
        house.void(said_by(lot), same_as=said_by(lots[(i + 1) % 3]), device="abc"[i])
    assert list(house.book.lots) == [lots[0]]
    assert house.balance(lots[2]) == {"in": 8, "on_hand": 8}


def test_the_same_printed_line_typed_in_twice_counts_once() -> None:
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    first = house.eat(2, jars, "cellar", source="sheet 12 line 3")
    second = house.eat(2, jars, "cellar", source="sheet 12 line 3", device="cook")
    assert house.balance(jars) == {"in": 9, "consumed": 2, "on_hand": 7}
    (same,) = house.concerns()
    assert same.kind == "same-source"
    assert set(same.rests_on) == {first, second}


def test_a_voided_day_of_many_records() -> None:
    """After a restore the phones send all again: the pair of void and its void nets to present."""
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar")
    gone = house.void(said_by(jars), device="cook")
    house.void(gone, device="cook")
    house.eat(1, jars, "cellar", on=between(1, 2), written=30)
    assert house.balance(jars) == {"in": 9, "consumed": 1, "on_hand": 8}
    assert house.kinds() == []
