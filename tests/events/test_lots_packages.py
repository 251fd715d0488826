"""Stories of food in packages: closed, open, and in between."""

from fractions import Fraction

from events.kinds import Package
from tests.build import Household, makes

HALF = Fraction(1, 2)
QUARTER = Fraction(1, 4)


def six_with_two_open() -> tuple[Household, str]:
    house = Household()
    jars = house.bring_in(6, "plums", "kitchen", unit="jar")
    house.open(2, jars, "kitchen")
    return house, jars


def test_opening_moves_no_food() -> None:
    house, jars = six_with_two_open()
    assert house.closed(jars) == {"kitchen": 4}
    assert house.opened(jars) == {"kitchen": 2}
    assert house.balance(jars) == {"in": 6, "on_hand": 6}
    assert house.kinds() == []


def test_eating_takes_what_is_open_first() -> None:
    house, jars = six_with_two_open()
    house.eat(1, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 4}
    assert house.opened(jars) == {"kitchen": 1}


def test_making_takes_what_is_open_first() -> None:
    house, jars = six_with_two_open()
    house.put_up([house.draw(1, jars, "kitchen")], [makes(1, "tart", "kitchen")])
    assert house.closed(jars) == {"kitchen": 4}
    assert house.opened(jars) == {"kitchen": 1}


def test_planting_takes_what_is_open_first() -> None:
    house = Household()
    seed = house.bring_in(6, "peas", "shelf", unit="packet", package=Package(vessel="packet"))
    house.open(2, seed, "shelf")
    house.plant(1, seed, "shelf")
    assert house.closed(seed) == {"shelf": 4}
    assert house.opened(seed) == {"shelf": 1}


def test_giving_moving_and_throwing_out_take_what_is_closed_first() -> None:
    house, jars = six_with_two_open()
    house.give(1, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 3}
    assert house.opened(jars) == {"kitchen": 2}
    house.move(1, jars, "kitchen", "hall")
    assert house.closed(jars) == {"kitchen": 2, "hall": 1}
    assert house.opened(jars) == {"kitchen": 2}
    house.spoil(1, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 1, "hall": 1}
    assert house.opened(jars) == {"kitchen": 2}


def test_what_is_missing_was_closed_first() -> None:
    house, jars = six_with_two_open()
    house.count(5, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 3}
    assert house.opened(jars) == {"kitchen": 2}


def test_unless_the_record_says_that_they_were_open() -> None:
    house, jars = six_with_two_open()
    house.give(1, jars, "kitchen", opened=True)
    assert house.opened(jars) == {"kitchen": 1}
    house.spoil(1, jars, "kitchen", opened=True)
    assert house.opened(jars) == {}
    assert house.closed(jars) == {"kitchen": 4}
    house, jars = six_with_two_open()
    house.move(1, jars, "kitchen", "hall", opened=True)
    assert house.closed(jars) == {"kitchen": 4}
    assert house.opened(jars) == {"kitchen": 1, "hall": 1}


def test_the_broken_part_opens_a_package_where_none_is_open() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "kitchen", unit="jar")
    house.eat(HALF, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 5}
    assert house.opened(jars) == {"kitchen": HALF}
    house.eat(HALF, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 5}
    assert house.opened(jars) == {}


def test_the_broken_part_of_a_gift_comes_from_what_is_open() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "kitchen", unit="jar")
    house.eat(HALF, jars, "kitchen")
    house.give(1 + QUARTER, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 4}
    assert house.opened(jars) == {"kitchen": QUARTER}


def test_a_broken_part_larger_than_what_is_open_opens_another() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "kitchen", unit="jar")
    house.eat(3 * QUARTER, jars, "kitchen")
    house.give(HALF, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 4}
    assert house.opened(jars) == {"kitchen": 3 * QUARTER}


def test_thirds_add_up_to_a_whole() -> None:
    house = Household()
    bucket = house.bring_in(1, "lard", "cellar", unit="bucket", package=Package(vessel="bucket"))
    for _ in range(3):
        house.eat(Fraction(1, 3), bucket, "cellar")
    assert house.stores(bucket) == {}
    assert house.balance(bucket) == {"in": 1, "consumed": 1}


def test_loose_food_has_no_broken_parts() -> None:
    house = Household()
    honey = house.bring_in(60, "honey", "cellar")
    for _ in range(7):
        house.eat(Fraction("8.57"), honey, "cellar")
    assert house.stores(honey) == {"cellar": Fraction("0.01")}
    assert house.opened(honey) == {}
    house.eat(Fraction("0.01"), honey, "cellar", rest=True)
    assert house.stores(honey) == {}


def test_a_package_received_part_full_is_open() -> None:
    house = Household()
    jars = house.bring_in(6 + HALF, "apple butter", "cellar", unit="jar")
    assert house.closed(jars) == {"cellar": 6}
    assert house.opened(jars) == {"cellar": HALF}


def test_packages_said_to_be_not_full_are_open_and_eaten_first() -> None:
    house = Household()
    part = house.bring_in(3, "apple butter", "cellar", unit="jar", fill="not full")
    full = house.bring_in(3, "apple butter", "cellar", unit="jar")
    assert house.opened(part) == {"cellar": 3}
    assert house.closed(full) == {"cellar": 3}


def test_opening_more_than_is_there_brings_it() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", unit="jar")
    house.open(2, jars, "kitchen")
    assert house.closed(jars) == {"cellar": 4}
    assert house.opened(jars) == {"kitchen": 2}
    assert house.kinds() == ["carried-unsaid"]


def test_opening_what_nobody_brought_in_finds_it() -> None:
    house = Household()
    jars = house.bring_in(1, "plums", "cellar", unit="jar")
    house.open(3, jars, "cellar")
    assert house.opened(jars) == {"cellar": 3}
    assert house.balance(jars) == {"in": 1, "found": 2, "on_hand": 3}


def test_opening_opens_what_is_closed_even_beside_what_is_open() -> None:
    house, jars = six_with_two_open()
    house.open(1, jars, "kitchen")
    assert house.closed(jars) == {"kitchen": 3}
    assert house.opened(jars) == {"kitchen": 3}
    assert house.kinds() == []


def test_what_is_open_stays_open_where_it_is_carried() -> None:
    house, jars = six_with_two_open()
    house.move(2, jars, "kitchen", "hall", opened=True)
    assert house.opened(jars) == {"hall": 2}
    assert {p.opened for p in house.parcels(jars) if p.store == "hall"} != {None}


def test_of_closed_packages_what_has_stood_there_longest_goes_first() -> None:
    house = Household()
    jars = house.bring_in(8, "plums", "attic", unit="jar")
    house.move(4, jars, "attic", "hall")
    house.move(2, jars, "hall", "kitchen")
    house.move(4, jars, "attic", "kitchen")
    house.eat(2, jars, "kitchen")
    assert house.paths(jars) == {("attic", "hall"): 2, ("attic", "kitchen"): 4}


def test_the_working_shelf_then_the_back_room() -> None:
    """Takes come off the shelf that they name, oldest block first; the block behind stays shut."""
    house = Household()
    old = house.bring_in(30, "tomatoes 2023", "back", unit="jar")
    newer = house.bring_in(140, "tomatoes 2024", "back", unit="jar")
    first = house.move(30, old, "back", "kitchen")
    house.move(30, newer, "back", "kitchen", deed=first)
    house.eat(4, old, "kitchen")
    assert house.stores(old) == {"kitchen": 26}
    assert house.stores(newer) == {"back": 110, "kitchen": 30}
    assert house.kinds() == []


def test_opening_more_than_is_closed_there_brings_closed_ones() -> None:
    house = Household()
    jars = house.bring_in(5, "plums", "cellar", unit="jar")
    house.move(2, jars, "cellar", "kitchen")
    house.open(1, jars, "kitchen")
    house.open(2, jars, "kitchen")
    assert house.opened(jars) == {"kitchen": 3}
    assert house.closed(jars) == {"cellar": 2}


def test_opened_in_a_part_of_the_store_it_stands_in_that_part() -> None:
    house = Household()
    jars = house.bring_in(5, "plums", "larder", unit="jar")
    house.open(1, jars, "larder/top")
    assert house.opened(jars) == {"larder/top": 1}
    assert house.closed(jars) == {"larder": 4}
    assert house.kinds() == []


def test_of_what_is_found_the_broken_part_is_open() -> None:
    house = Household()
    jars = house.bring_in(0, "plums", "cellar", unit="jar")
    house.count(2 + HALF, jars, "cellar")
    assert house.closed(jars) == {"cellar": 2}
    assert house.opened(jars) == {"cellar": HALF}
