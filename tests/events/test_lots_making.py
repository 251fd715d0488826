"""Stories of what was made from what: draws, yields, and lots that nobody has heard of yet."""

from fractions import Fraction

from tests.build import Household, makes, said_by


def test_making_draws_and_yields() -> None:
    house = Household()
    fruit = house.bring_in(20, "plums", "cellar")
    sugar = house.bring_in(5, "sugar", "kitchen")
    jam, jelly = house.put_up(
        [house.draw(6, fruit, "cellar"), house.draw(3, sugar, "kitchen")],
        [makes(4, "jam", "shelf"), makes(2, "jelly", "shelf")],
    )
    assert house.balance(fruit) == {"in": 20, "drawn": 6, "on_hand": 14}
    assert house.balance(sugar) == {"in": 5, "drawn": 3, "on_hand": 2}
    assert house.balance(jam) == {"in": 4, "on_hand": 4}
    assert house.balance(jelly) == {"in": 2, "on_hand": 2}
    identity = house.lot(jam).identity
    assert identity is not None
    assert identity.parents == (fruit, sugar)
    assert set(house.book.children(fruit)) == {jam, jelly}


def test_repacking_draws_and_yields_and_what_is_short_is_its_own_loss() -> None:
    house = Household()
    sack = house.bring_in(50, "wheat", "barn")
    buckets = house.repack(
        [house.draw(50, sack, "barn", rest=True)],
        [makes(24, "wheat", "room", unit="lb", packed=False),
         makes(25, "wheat", "room", unit="lb", packed=False)],
    )  # fmt: skip
    assert house.balance(sack) == {"in": 50, "drawn": 50}
    assert [house.stores(b) for b in buckets] == [{"room": 24}, {"room": 25}]


def test_the_split_is_heard_of_before_the_sack() -> None:
    """One phone split the sack into buckets; the other, which brought it in, had no signal."""
    house = Household()
    buckets = house.repack(
        [house.draw(50, "tablet:1:0", "barn")],
        [makes(25, "wheat", "room", unit="lb", packed=False)] * 2, t=10, device="phone",
    )  # fmt: skip
    assert [house.stores(b) for b in buckets] == [{"room": 25}, {"room": 25}]
    assert house.kinds() == ["unknown-lot"]
    assert house.lot("tablet:1:0").identity is None
    sack = house.bring_in(50, "wheat", "barn", t=5, written=11, device="tablet")
    assert sack == "tablet:1:0"
    assert house.balance(sack) == {"in": 50, "drawn": 50}
    assert house.kinds() == []


def test_a_take_of_an_unknown_lot_waits() -> None:
    house = Household()
    house.eat(2, "cook:1:0", "kitchen")
    assert house.kinds() == ["unknown-lot"]
    assert house.balance("cook:1:0") == {}
    lot = house.bring_in(9, "plums", "kitchen", t=0, written=9, device="cook")
    assert house.balance(lot) == {"in": 9, "consumed": 2, "on_hand": 7}
    assert house.kinds() == []


def test_a_number_that_the_making_has_no_lot_for_waits_for_ever() -> None:
    house = Household()
    house.bring_in(9, "plums", "kitchen")
    house.eat(2, "hall:1:5", "kitchen")
    assert house.kinds() == ["unknown-lot"]


def test_what_was_said_of_no_lot_and_taken_back_leaves_nothing() -> None:
    house = Household()
    house.bring_in(9, "plums", "kitchen")
    wrong = house.eat(2, "hall:1:5", "kitchen", device="cook")
    house.void(wrong)
    assert house.kinds() == []
    assert list(house.book.lots) == ["hall:1:0"]


def test_amounts_never_cascade() -> None:
    """The fruit turns out to have been less: the jars made of it are what they are."""
    house = Household()
    fruit = house.bring_in(4, "plums", "cellar")
    (jam,) = house.put_up([house.draw(6, fruit, "cellar")], [makes(4, "jam", "shelf")])
    assert house.balance(fruit) == {"in": 4, "found": 2, "drawn": 6}
    assert house.balance(jam) == {"in": 4, "on_hand": 4}
    house.void(said_by(fruit))
    assert house.balance(jam) == {"in": 4, "on_hand": 4}


def test_a_draw_names_a_mark_and_takes_food_under_it_first() -> None:
    house = Household()
    fruit = house.bring_in(10, "plums", "cellar")
    aside = house.set_aside(fruit, "cellar", 4)
    house.put_up([house.draw(3, fruit, "cellar", mark=aside)], [makes(1, "jam", "shelf")])
    assert house.aside(fruit) == {"cellar": 1}
    assert house.unmarked(fruit) == {"cellar": 6}


def test_drawing_the_rest() -> None:
    house = Household()
    fruit = house.bring_in(10, "plums", "cellar")
    house.eat(1, fruit, "cellar")
    house.put_up([house.draw(10, fruit, "cellar", rest=True)], [makes(1, "jam", "shelf")])
    assert house.balance(fruit) == {"in": 10, "consumed": 1, "drawn": 9}


def test_lots_in_a_ring_of_parentage_carry_the_holds_of_any_of_them() -> None:
    """Sour starter is fed from itself: two jars, each said to be made of the other."""
    house = Household()
    (one,) = house.put_up(
        [house.draw(1, "b:1:0", "kitchen")], [makes(3, "starter", "kitchen")], device="a"
    )
    (other,) = house.put_up(
        [house.draw(1, one, "kitchen")], [makes(3, "starter", "kitchen")], device="b"
    )
    mark = house.hold(one)
    assert house.under(mark, one) == {"kitchen": 2}
    assert house.under(mark, other) == house.stores(other)


def test_a_held_lot_draws_its_hold_on_when_it_becomes_known() -> None:
    """The hold on the sack is heard of after the flour was milled: the flour is held too."""
    house = Household()
    sack = house.bring_in(50, "wheat", "barn", t=0)
    (flour,) = house.put_up([house.draw(20, sack, "barn")], [makes(20, "flour", "room")], t=10)
    assert house.held(flour) == {}
    mark = house.hold(sack, t=5, written=20, device="cook")
    assert house.under(mark, flour) == {"room": 20}
    house.void(mark)
    assert house.held(flour) == {}


def test_the_same_lot_drawn_twice_by_one_making() -> None:
    house = Household()
    fruit = house.bring_in(10, "plums", "cellar")
    house.move(4, fruit, "cellar", "hall")
    house.put_up(
        [house.draw(2, fruit, "cellar"), house.draw(3, fruit, "hall")], [makes(1, "jam", "shelf")]
    )
    assert house.stores(fruit) == {"cellar": 4, "hall": 1}
    assert house.balance(fruit) == {"in": 10, "drawn": 5, "on_hand": 5}


def test_what_is_learnt_of_a_lot_wins_by_its_stamp_field_by_field() -> None:
    house = Household()
    lot = house.bring_in(3, "unknown", "freezer")
    house.learn(lot, {"food": "elder", "label": "blue"}, written=50)
    house.learn(lot, {"food": "sloe"}, written=40, device="cook")
    assert house.lot(lot).food == "elder"
    house.learn(lot, {"label": ""}, written=60, device="cook")
    assert house.lot(lot).food == "elder"
    assert house.lot(lot).facts.get("label") == ""
    assert house.balance(lot) == {"in": 3, "on_hand": 3}


def test_what_is_learnt_wins_by_its_stamp_and_not_by_its_date() -> None:
    house = Household()
    lot = house.bring_in(3, "unknown", "freezer")
    house.learn(lot, {"food": "elder"}, t=10, written=50)
    house.learn(lot, {"food": "sloe"}, t=30, written=40, device="cook")
    assert house.lot(lot).food == "elder"


def test_eggs_by_the_dozen() -> None:
    house = Household()
    eggs = house.bring_in(431, "eggs", "pantry", unit="egg")
    house.give(6 * 12, eggs, "pantry")
    house.give(Fraction(9, 2) * 12, eggs, "pantry", to="neighbour")
    (limed,) = house.put_up(
        [house.draw(90, eggs, "pantry")], [makes(90, "limed eggs", "cellar", unit="egg")]
    )
    house.eat(184, eggs, "pantry")
    house.count(31, eggs, "pantry")
    assert house.balance(eggs) == {
        "in": 431, "given": 126, "drawn": 90, "consumed": 184, "on_hand": 31
    }  # fmt: skip
    assert house.stores(limed) == {"cellar": 90}
    assert house.kinds() == []


def test_one_of_seven_did_not_seal() -> None:
    """Six go to the shelf; the seventh goes to the freezer in another vessel."""
    house = Household()
    beans = house.bring_in(10, "green beans", "porch")
    (jars,) = house.put_up(
        [house.draw(10, beans, "porch", rest=True)], [makes(7, "green beans", "bench")]
    )
    mark = house.hold(jars, "bench", 1, reason="did not seal")
    house.look(jars, "bench", sound=6, wrong=1, finding="did not seal")
    house.move(6, jars, "bench", "shelf")
    (box,) = house.repack(
        [house.draw(1, jars, "bench", mark=mark)],
        [makes(1, "green beans", "freezer", unit="box")], remedy=mark,
    )  # fmt: skip
    assert house.stores(jars) == house.unmarked(jars) == {"shelf": 6}
    assert house.balance(jars) == {"in": 7, "drawn": 1, "on_hand": 6}
    assert house.stores(box) == {"freezer": 1}
    assert house.held(box) == {}
    assert house.kinds() == []
