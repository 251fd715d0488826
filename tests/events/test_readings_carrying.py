"""What to carry to the working shelf: oldest first, in blocks across lots."""

from fractions import Fraction

from events.kinds import FoodSet, Package, StoreSet
from events.readings.carrying import Carry, carrying
from tests.build import Household
from tests.tale import About, day, grains

PINT = Package(vessel="jar", content="1", content_unit="pint")
SHELF = {"shelf": "kitchen", "shelf_refill": "10 jars", "shelf_par": "60 jars"}


def house(facts: dict[str, str] | None = None) -> Household:
    home = Household()
    home.say(FoodSet(food="tomatoes", facts=facts or SHELF))
    home.say(StoreSet(store="bed", facts={"kind": "ground"}))
    return home


def pints(home: Household, much: int, store: str, made: str) -> str:
    return home.bring_in(much, "tomatoes", store, unit="jar", package=PINT, form="home-canned",
                         on=made)  # fmt: skip


def only(home: Household) -> Carry:
    (one,) = carrying(home.book).carries
    return one


def test_sixty_of_the_oldest_across_lots() -> None:
    home = house()
    last = pints(home, 130, "boxes", "2025-09")
    middle = pints(home, 140, "boxes", "2024-09")
    first = pints(home, 30, "boxes", "2023-09")
    carry = only(home)
    assert [(piece.name, piece.n) for piece in carry.pieces] == [
        (first, grains(30)), (middle, grains(30)),
    ]  # fmt: skip
    assert last not in {piece.name for piece in carry.pieces}
    assert (carry.there, carry.wanted, carry.short) == (Fraction(0), Fraction(60), Fraction(0))


def test_the_shelf_is_asked_about_below_its_mark_and_filled_to_its_par() -> None:
    home = house()
    lot = pints(home, 100, "boxes", "2025-09")
    home.move(12, lot, "boxes", "kitchen")
    home.eat(2, lot, "kitchen")
    assert carrying(home.book).carries == ()
    home.eat(1, lot, "kitchen")
    carry = only(home)
    assert (carry.there, carry.wanted) == (Fraction(9), Fraction(51))
    assert [piece.n for piece in carry.pieces] == [grains(51)]


def test_the_shelves_of_a_store_are_the_store() -> None:
    home = house()
    pints(home, 10, "kitchen/top", "2025-09")
    assert carrying(home.book).carries == ()


def test_what_is_held_kept_back_open_or_in_the_ground_stays_where_it_is() -> None:
    home = house()
    held, aside = pints(home, 5, "boxes", "2023-07"), pints(home, 5, "boxes", "2023-08")
    open_one = pints(home, 3, "boxes", "2023-09")
    home.bring_in(9, "tomatoes", "bed", unit="jar", package=PINT, on="2023-01")
    free = pints(home, 8, "boxes", "2025-09")
    home.hold(held)
    home.set_aside(aside)
    home.open(1, open_one, "boxes", t=day(9))
    carry = only(home)
    assert [(piece.name, piece.n) for piece in carry.pieces] == [
        (open_one, grains(2)), (free, grains(8)),
    ]  # fmt: skip
    assert carry.short == 50


def test_jars_are_carried_whole_and_loose_food_to_the_amount() -> None:
    home = house(SHELF | {"shelf_refill": "5 qt", "shelf_par": "5 qt"})
    pints(home, 40, "boxes", "2025-09")
    pints(home, 1, "kitchen", "2025-09")
    carry = only(home)
    # four and a half quarts are nine pints
    assert (carry.there, carry.wanted) == (Fraction(1, 2), Fraction(9, 2))
    assert [piece.n for piece in carry.pieces] == [grains(9)]
    home = Household()
    home.say(FoodSet(food="oats", facts={"shelf": "kitchen", "shelf_par": "2 1/2 lb"}))
    home.bring_in(25, "oats", "barn")
    assert [piece.n for piece in only(home).pieces] == [grains("5/2")]


def test_a_quart_jar_is_not_broken_for_a_pint() -> None:
    home = house(SHELF | {"shelf_refill": "3 pt", "shelf_par": "3 pt"})
    home.bring_in(9, "tomatoes", "boxes", unit="jar")
    carry = only(home)
    assert [piece.n for piece in carry.pieces] == [grains(2)]
    assert carry.short == 0


def test_an_estimate_gives_no_more_than_what_is_surely_there() -> None:
    home = Household()
    home.say(FoodSet(food="oats", facts={"shelf": "kitchen", "shelf_par": "20 lb"}))
    home.bring_in(About(15, 12, 18), "oats", "barn")
    assert [piece.n for piece in only(home).pieces] == [grains(12)]
    assert only(home).short == 8
