"""What is low, how much to get, and when low is over."""

from fractions import Fraction

import pytest

from events.kinds import FoodSet, Ordered, Received, Yield
from events.quantity import NotUnderstood
from events.readings.reorder import Level, Need, low_since, reorder
from events.readings.stock_marks import marks_of
from tests.build import Household, ms
from tests.tale import amount, day

SALT = {"refill": "10 lb", "clear": "12 lb", "par": "35 lb", "pack": "25 lb", "lead": "1 week"}


def salted(**facts: str) -> Household:
    home = Household()
    home.say(FoodSet(food="salt", facts=SALT | facts))
    return home


def only(home: Household, t: float = 60 * 24 * 60) -> Need:
    found = reorder(home.book, ms(t))
    assert found.unread == ()
    (need,) = found.needs
    return need


def figures(*found: Fraction | int | None) -> list[Fraction | None]:
    """Figures as they are compared: exact."""
    return [None if n is None else Fraction(n) for n in found]


def bought(home: Household, much: int, t: float, answers: str | None = None) -> None:
    home.say(Received(food="salt", amount=amount(much, "lb"), store="room", origin="bought",
                      answers=answers), t=t)  # fmt: skip


def test_a_level_that_dances_round_its_mark_is_low_once() -> None:
    home = salted()
    lot = home.bring_in("10.2", "salt", "room", t=day(2))
    assert only(home).low_since is None
    home.count("9.9", lot, "room", t=day(3))
    assert only(home).low_since == ms(day(3))
    home.count("10.4", lot, "room", t=day(4))
    assert only(home).low_since == ms(day(3))
    home.count("9.8", lot, "room", t=day(5))
    assert only(home).low_since == ms(day(3))
    bought(home, 25, day(6))
    assert only(home).low_since is None
    assert only(home).there == Fraction("34.8")
    assert only(home).get == 0


def test_low_ends_at_the_higher_mark_or_when_more_comes_in_and_not_between() -> None:
    mark, clear = Fraction(10), Fraction(12)

    def after(*levels: Level) -> int | None:
        return low_since(levels, mark, clear)

    low = Level(1, Fraction(9))
    assert after(low, Level(2, Fraction("11.9"))) == 1
    assert after(low, Level(2, Fraction(12))) is None
    assert after(low, Level(2, Fraction(10), came=True)) is None
    assert after(low, Level(2, Fraction("9.5"), came=True)) == 1
    assert after(low, Level(2, Fraction(13)), Level(3, Fraction(8))) == 3
    assert after(Level(1, Fraction(10))) is None
    assert after() is None


def test_a_harvest_ends_it_as_a_purchase_does_and_what_turns_up_does_not() -> None:
    home = salted()
    home.bring_in(9, "salt", "room", t=day(2))
    home.bring_in(1, "salt", "room", origin="found", t=day(3))
    assert only(home).low_since == ms(day(2))
    home.bring_in(1, "salt", "room", origin="gift", t=day(4))
    assert only(home).low_since is None


def test_food_packed_anew_was_never_gone() -> None:
    home = salted()
    lot = home.bring_in("11", "salt", "room", t=day(2))
    bags = Yield(food="salt", amount=amount(11, "lb"), store="room")
    home.repack([home.draw(11, lot, "room")], [bags], t=day(3))
    need = only(home)
    assert need.there == 11
    assert need.low_since is None


def test_as_much_as_brings_it_up_in_whole_packs() -> None:
    home = salted()
    home.bring_in(8, "salt", "room", t=day(2))
    need = only(home)
    # 27 lb are wanting: two packs of 25
    assert figures(need.there, need.get, need.packs) == figures(8, 50, 2)
    home.say(FoodSet(food="salt", facts={"pack": ""}))
    assert only(home).get == 27
    assert only(home).packs is None


def test_what_is_expected_is_taken_off_until_it_comes() -> None:
    home = salted(pack="")
    home.bring_in(8, "salt", "room", t=day(2))
    order = home.say(Ordered(food="salt", amount=amount(25, "lb"), due="2026-08-20"), t=day(3))
    need = only(home)
    assert figures(need.get, *(one.n for one in need.waiting)) == figures(2, 25)
    assert need.low_since == ms(day(2))
    home.say(Ordered(food="salt", amount=amount(5, "kg")), t=day(4))
    assert only(home).get == 0  # 5 kg are 11 lb
    bought(home, 25, day(5), answers=order)
    need = only(home)
    assert need.there == 33
    assert need.low_since is None


def test_what_is_held_set_aside_or_anothers_does_not_count_as_there() -> None:
    home = salted()
    held = home.bring_in(20, "salt", "room", t=day(2))
    home.bring_in(30, "salt", "room", owner="the neighbour", t=day(2))
    assert only(home).there == 20
    home.hold(held)
    need = only(home)
    assert need.there == 0
    assert need.low_since is not None


def test_jars_come_to_quarts_and_what_does_not_come_to_the_mark_is_said() -> None:
    home = Household()
    home.say(FoodSet(food="green beans", facts={"refill": "12 qt", "units": "pie bag = 2 qt; tub"}))
    home.bring_in(7, "green beans", "room", unit="jar")
    home.bring_in(3, "green beans", "room", unit="pie bag")
    home.bring_in(2, "green beans", "room", unit="lb")
    need = only(home)
    assert need.there == 13
    assert need.uncounted == ("lb",)
    assert need.low_since is None


def test_other_names_of_a_food_are_one_food() -> None:
    home = salted(other_names="sea salt")
    home.bring_in(6, "sea salt", "room")
    home.bring_in(7, "salt", "room")
    assert only(home).there == 13


def test_a_par_alone_is_the_mark_and_what_has_neither_is_not_asked_for() -> None:
    home = Household()
    home.say(FoodSet(food="honey", facts={"par": "6 jars"}))
    home.say(FoodSet(food="flour", facts={"group": "staple"}))
    home.bring_in(5, "honey", "room", unit="jar")
    need = only(home)
    assert figures(need.marks.refill, need.marks.clear, need.get) == figures(6, 6, 1)


def test_what_is_to_be_got_comes_first_and_the_longest_low_is_no_reason_to_hide_another() -> None:
    home = salted()
    for food, much in (("honey", 20), ("flour", 2), ("oats", 1)):
        home.say(FoodSet(food=food, facts={"refill": "10 lb"}))
        home.bring_in(much, food, "room")
    home.bring_in(50, "salt", "room")
    found = reorder(home.book, ms(day(9)))
    assert [need.marks.food for need in found.needs] == ["flour", "oats", "honey", "salt"]
    assert figures(*(need.get for need in found.needs)) == figures(10, 11, 0, 0)


def test_the_usual_higher_mark_is_a_fifth_above_and_never_above_par() -> None:
    low = marks_of("salt", {"refill": "10 lb"})
    assert low is not None
    assert low.clear == 12
    low = marks_of("salt", {"refill": "10 lb", "par": "11 lb"})
    assert low is not None
    assert low.clear == 11


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"refill": "ten-ish"}, "ten-ish"),
        ({"refill": "10"}, "with its unit"),
        ({"refill": "about 10 lb"}, "with its unit"),
        ({"refill": "10 lb", "par": "3 jars"}, "write all in one unit"),
        ({"refill": "10 lb", "par": "5 lb"}, "par is below refill"),
        ({"refill": "10 lb", "clear": "5 lb"}, "clear is below refill"),
        ({"clear": "5 lb"}, "no refill mark"),
        ({"refill": "10 lb", "lead": "soon"}, "10 days or 2 weeks"),
        ({"shelf_refill": "10 jars", "shelf": "kitchen"}, "no shelf_par"),
        ({"shelf_par": "10 jars"}, "no shelf"),
        ({"shelf_par": "4 jars", "shelf_refill": "10 jars", "shelf": "k"}, "below shelf_refill"),
    ],
)
def test_a_mark_that_is_not_understood_is_said_and_decides_nothing(
    facts: dict[str, str], says: str
) -> None:
    with pytest.raises(NotUnderstood, match=says):
        marks_of("salt", facts)
    home = Household()
    home.say(FoodSet(food="salt", facts=facts))
    found = reorder(home.book, ms(day(9)))
    assert found.needs == ()
    assert len(found.unread) == 1
