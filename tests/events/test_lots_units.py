"""Stories of amounts said in other units, and of takers who did not know the lot."""

from events.kinds import Amount
from tests.build import SOME, About, Household, Other, grains

BOWLS = Other("2 bowls", "bowl")


def test_said_in_another_unit_whose_equivalence_the_device_knew() -> None:
    house = Household()
    peas = house.bring_in(10, "peas", "cellar")
    house.eat(Other("2 bags", "bag", 4, "1 bag = 2 lb"), peas, "cellar")
    assert house.balance(peas) == {"in": 10, "consumed": 4, "on_hand": 6}
    assert house.kinds() == []
    assert house.lot(peas).less_some == ()


def test_said_in_a_unit_with_no_known_equivalence_no_sum_changes() -> None:
    house = Household()
    peas = house.bring_in(10, "peas", "cellar")
    eaten = house.eat(BOWLS, peas, "cellar")
    assert house.balance(peas) == {"in": 10, "on_hand": 10}
    assert house.lot(peas).less_some == (eaten,)
    assert house.kinds() == ["other-unit"]


def test_what_the_next_whole_count_misses_is_what_that_record_said() -> None:
    house = Household()
    peas = house.bring_in(10, "peas", "cellar")
    house.eat(BOWLS, peas, "cellar")
    house.count(7, peas, "cellar", part=True)
    assert house.kinds() == ["other-unit"]
    house.count(8, peas, "cellar")
    assert house.balance(peas) == {"in": 10, "consumed": 2, "on_hand": 8}
    assert house.lot(peas).less_some == ()
    assert house.kinds() == []


def test_it_is_booked_as_what_that_record_was() -> None:
    for term in ("spoiled", "given", "planted", "drawn"):
        house = Household()
        peas = house.bring_in(10, "peas", "cellar")
        if term == "spoiled":
            house.spoil(BOWLS, peas, "cellar")
        elif term == "given":
            house.give(BOWLS, peas, "cellar")
        elif term == "planted":
            house.plant(BOWLS, peas, "cellar")
        else:
            house.put_up([house.draw(BOWLS, peas, "cellar")], [])
        house.count(7, peas, "cellar")
        assert house.balance(peas) == {"in": 10, term: 3, "on_hand": 7}


def test_only_the_next_whole_count_is_so_booked() -> None:
    house = Household()
    peas = house.bring_in(10, "peas", "cellar")
    house.eat(BOWLS, peas, "cellar")
    house.count(8, peas, "cellar")
    house.count(7, peas, "cellar")
    assert house.balance(peas) == {"in": 10, "consumed": 2, "missing": 1, "on_hand": 7}


def test_a_count_of_another_place_says_nothing_about_it() -> None:
    house = Household()
    peas = house.bring_in(10, "peas", "cellar")
    house.move(4, peas, "cellar", "hall")
    eaten = house.eat(BOWLS, peas, "cellar")
    house.count(3, peas, "hall")
    assert house.balance(peas) == {"in": 10, "missing": 1, "on_hand": 9}
    assert house.lot(peas).less_some == (eaten,)


def test_an_amount_written_in_a_unit_that_the_lot_is_not_kept_in_changes_no_sum() -> None:
    """The phone had not heard of the lot and guessed its unit."""
    house = Household()
    peas = house.bring_in(10, "peas", "cellar")
    house.eat(Amount(unit="jar", n=grains(2)), peas, "cellar")
    assert house.balance(peas) == {"in": 10, "on_hand": 10}
    assert house.kinds() == ["other-unit"]


def test_a_unit_of_the_house_is_a_unit_like_any_other() -> None:
    house = Household()
    bags = house.bring_in(13, "apples", "freezer", unit="pie")
    house.eat(1, bags, "freezer")
    assert house.balance(bags) == {"in": 13, "consumed": 1, "on_hand": 12}
    assert house.lot(bags).unit == "pie"


def test_some_is_an_estimate_and_not_another_unit() -> None:
    house = Household()
    herbs = house.bring_in(SOME, "sage", "beam", unit="bunch")
    house.eat(About(2, 1, 3), herbs, "beam")
    assert house.lot(herbs).less_some == ()
    assert house.balance(herbs) == {"re_estimated": 2, "consumed": 2}


def test_where_the_device_chose_the_lot_nothing_is_carried() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", unit="jar")
    house.eat(2, jars, "kitchen", picked=True)
    assert house.stores(jars) == {"cellar": 6}
    assert house.balance(jars) == {"in": 6, "found": 2, "consumed": 2, "on_hand": 6}
    (short,) = house.concerns()
    assert short.kind == "picked-short"
    assert short.n == grains(2)
    found = [p for line in house.lot(jars).lines for p in line.postings if p.term == "found"]
    assert all(p.picked for p in found)
    assert sum(p.n for p in found) == grains(2)


def test_where_the_device_chose_the_lot_and_it_was_there_it_is_a_take_like_any_other() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "kitchen", unit="jar")
    house.eat(2, jars, "kitchen", picked=True)
    assert house.balance(jars) == {"in": 6, "consumed": 2, "on_hand": 4}
    assert house.kinds() == []


def test_opened_by_a_taker_who_did_not_know_the_lot() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", unit="jar")
    house.open(1, jars, "kitchen", picked=True)
    assert house.stores(jars) == {"cellar": 6, "kitchen": 1}
    assert house.kinds() == ["picked-short"]


def test_the_next_whole_count_of_a_lot_of_that_food_there_ends_it() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", unit="jar")
    other = house.bring_in(3, "plums", "kitchen", unit="jar")
    house.eat(2, jars, "kitchen", picked=True)
    house.count(1, other, "kitchen", part=True)
    assert len(house.concerns("picked-short")) == 1
    house.count(1, other, "kitchen")
    assert house.concerns("picked-short") == []
    assert house.balance(jars) == {"in": 6, "found": 2, "consumed": 2, "on_hand": 6}


def test_swaps_gifts_and_losses_are_not_eating() -> None:
    house = Household()
    left = house.bring_in(13, "sauce", "cellar", unit="quart", origin="found")
    made = house.bring_in(26, "sauce", "cellar", unit="quart")
    swapped = house.bring_in(8, "sauce", "cellar", unit="pint", origin="exchange")
    house.give(4, made, "cellar")
    house.spoil(1, made, "cellar", cause="seal failed")
    house.eat(13, left, "cellar")
    house.eat(18, made, "cellar")
    house.count(3, made, "cellar")
    house.count(8, swapped, "cellar")
    eaten = sum(house.balance(lot).get("consumed", 0) for lot in (left, made, swapped))
    assert eaten == 31
    assert house.balance(made) == {
        "in": 26, "given": 4, "spoiled": 1, "consumed": 18, "on_hand": 3,
    }  # fmt: skip
    assert house.kinds() == []


def test_half_pints_pints_and_quarts_are_counted_in_jars() -> None:
    house = Household()
    lots = [house.bring_in(n, "salsa", "shelf", unit=u) for n, u in
            ((52, "quart"), (84, "pint"), (72, "half-pint"))]  # fmt: skip
    assert sum(house.stores(lot)["shelf"] for lot in lots) == 208
