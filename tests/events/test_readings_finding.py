"""Which food or lot is meant by what somebody typed; what is ambiguous is listed, never guessed."""

import pytest

from events.codes import codes
from events.kinds import FoodSet
from events.quantity import NotUnderstood
from events.readings.finding import Foods, find_lots, first_to_use, lots_of, stem, words
from events.readings.lots import codes_of
from tests.build import Household, day


@pytest.mark.parametrize(
    ("one", "many"),
    [
        ("bean", "beans"), ("tomato", "tomatoes"), ("potato", "potatoes"), ("berry", "berries"),
        ("peach", "peaches"), ("radish", "radishes"), ("box", "boxes"), ("leaf", "leaves"),
        ("loaf", "loaves"), ("olive", "olives"), ("pie", "pies"), ("egg", "Eggs"), ("pea", "peas"),
        ("knife", "knives"), ("apple", "apples"), ("chive", "chives"), ("thigh", "thighs"),
    ],
)  # fmt: skip
def test_a_word_and_its_plural_are_one(one: str, many: str) -> None:
    assert stem(one) == stem(many)


@pytest.mark.parametrize(
    ("one", "other"),
    [("pea", "pear"), ("bean", "beet"), ("oat", "oath"), ("asparagus", "asparagu"),
     ("grass", "gras"), ("plum", "plume"), ("corn", "acorn")],
)  # fmt: skip
def test_unlike_words_are_not_one(one: str, other: str) -> None:
    assert stem(one) != stem(other)


def test_words_heed_neither_case_nor_spaces_nor_signs() -> None:
    assert words("  Green   BEANS ") == words("green bean") == words("green-beans")
    assert words("thighs, chkn") == ("thigh", "chkn")


def pantry(*foods: str) -> Household:
    home = Household()
    for food in foods:
        home.bring_in(1, food, "shelf")
    return home


def found(home: Household, typed: str) -> tuple[tuple[str, ...], str, tuple[str, ...]]:
    fits = Foods(home.book).find(typed)
    return fits.foods, fits.how, fits.near


def test_the_name_itself_wins_and_what_has_its_words_is_only_near() -> None:
    home = pantry("beans", "green beans", "peas")
    assert found(home, "Bean") == (("beans",), "name", ("green beans",))


def test_a_word_of_the_name_will_do_and_of_several_all_are_listed() -> None:
    home = pantry("green beans", "peas")
    assert found(home, "beans") == (("green beans",), "word", ())
    home.bring_in(1, "broad beans", "shelf")
    assert found(home, "beans") == (("broad beans", "green beans"), "word", ())
    assert found(home, "beans green")[0] == ("green beans",)


def test_a_unique_beginning_will_do() -> None:
    home = pantry("rolled oats", "rye flour", "peas")
    assert found(home, "rol") == (("rolled oats",), "beginning", ())
    assert found(home, "oa")[0] == ("rolled oats",)
    assert found(home, "r")[0] == ("rolled oats", "rye flour")


def test_nothing_fits_but_something_is_near() -> None:
    home = pantry("chicken thighs", "tomatoes", "salt")
    assert found(home, "tomatos!")[0] == ("tomatoes",)
    assert found(home, "tomatpes") == ((), "none", ("tomatoes",))
    assert found(home, "turkey thighs") == ((), "none", ("chicken thighs",))
    assert found(home, "quinces") == ((), "none", ())
    assert found(home, " ") == ((), "none", ())


def test_another_name_is_the_food_only_once_somebody_said_so() -> None:
    home = pantry("chicken thighs", "thighs, chkn")
    assert found(home, "thighs, chkn") == (("thighs, chkn",), "name", ())
    home.say(FoodSet(food="chicken thighs", facts={"other_names": "thighs, chkn; drumless"}))
    foods = Foods(home.book)
    assert foods.find("Thighs, CHKN").foods == ("chicken thighs",)
    assert foods.find("drumless").foods == ("chicken thighs",)
    assert foods.canonical("thighs, chkn") == "chicken thighs"
    assert foods.called("thighs, chkn") == ("chicken thighs", "thighs, chkn")
    assert foods.all() == ("chicken thighs",)
    assert len(lots_of(home.book, "drumless")) == 2


def test_a_name_that_two_foods_share_joins_neither_and_finds_both() -> None:
    home = pantry("sweet potatoes", "yams")
    home.say(FoodSet(food="sweet potatoes", facts={"other_names": "tubers"}))
    home.say(FoodSet(food="yams", facts={"other_names": "tubers"}))
    assert found(home, "tubers")[0] == ("sweet potatoes", "yams")
    home.bring_in(1, "tubers", "shelf")
    assert Foods(home.book).canonical("tubers") == "tubers"


def test_a_part_of_a_name_that_two_foods_share_finds_both() -> None:
    home = pantry("sweet potatoes", "yams")
    home.say(FoodSet(food="sweet potatoes", facts={"other_names": "red tubers"}))
    home.say(FoodSet(food="yams", facts={"other_names": "red tubers"}))
    assert found(home, "tuber")[0] == ("sweet potatoes", "yams")
    assert found(home, "re")[0] == ("sweet potatoes", "yams")


def test_names_in_a_ring_end() -> None:
    home = pantry("maize", "corn")
    home.say(FoodSet(food="maize", facts={"other_names": "corn"}))
    home.say(FoodSet(food="corn", facts={"other_names": "maize"}))
    foods = Foods(home.book)
    assert foods.canonical("maize") in ("maize", "corn")


def test_spellings_of_one_food_are_one() -> None:
    home = pantry("Tomatoes", "tomato")
    assert len(Foods(home.book).all()) == 1
    assert len(lots_of(home.book, "TOMATO")) == 2


# -- lots ------------------------------------------------------------------------------------------


def test_a_lot_by_its_code_in_any_case_and_by_its_whole_name() -> None:
    home = pantry("beans", "peas")
    for lot, code in codes_of(home.book).items():
        for typed in (code, code.lower(), f"{code[:2]}-{code[2:]}", lot):
            assert [one.name for one in find_lots(home.book, typed).lots] == [lot]


def test_what_is_a_code_and_a_food_gives_both() -> None:
    home = pantry("beans")
    (lot,) = home.book.lots
    code = codes_of(home.book)[lot]
    other = home.bring_in(1, code, "shelf")
    fits = find_lots(home.book, code)
    assert {one.name for one in fits.lots} == {lot, other}
    assert fits.foods == (code,)


def test_the_code_of_a_double_finds_the_lot_that_stands() -> None:
    home = Household()
    kept = home.bring_in(8, "beans", "vault", unit="jar")
    double = home.bring_in(8, "beans", "vault", unit="jar")
    home.void(double.removesuffix(":0"), same_as=kept.removesuffix(":0"))
    code = codes_of(home.book)[double]
    assert [one.name for one in find_lots(home.book, code).lots] == [kept]


def test_a_food_gives_all_its_lots_oldest_first() -> None:
    home = Household()
    new = home.bring_in(1, "beans", "shelf", t=day(9))
    old = home.bring_in(1, "beans", "shelf", t=day(2))
    fits = find_lots(home.book, "beans")
    assert [lot.name for lot in fits.lots] == [old, new]
    assert fits.foods == ("beans",)


def test_a_mistyped_code_is_said_to_be_one() -> None:
    home = pantry("beans")
    (code,) = codes(home.book.lots).values()
    last = "0" if code[-1] != "0" else "1"
    digits = next(c for c in (code[:-1] + last, "1234" + last) if any(s.isdigit() for s in c))
    with pytest.raises(NotUnderstood):
        find_lots(home.book, digits)


def test_words_that_are_no_food_give_nothing_and_no_complaint() -> None:
    fits = find_lots(pantry("beans").book, "quinces")
    assert (fits.lots, fits.foods, fits.near) == ((), (), ())


def test_first_to_use_is_what_is_open_then_what_is_oldest() -> None:
    home = Household()
    old = home.bring_in(3, "beans", "kitchen", unit="jar", t=day(1))
    new = home.bring_in(3, "beans", "kitchen", unit="jar", t=day(2))
    held = home.bring_in(3, "beans", "kitchen", unit="jar", t=day(1) - 60)
    home.hold(held, t=day(3))
    home.bring_in(3, "beans", "barn", unit="jar", t=day(1) - 90)
    home.bring_in(3, "beans", "kitchen", unit="jar", owner="a neighbour", t=day(1) - 80)

    def order() -> list[str]:
        return [lot.name for lot in first_to_use(find_lots(home.book, "beans").lots, "kitchen")]

    assert order() == [old, new]
    home.open(1, new, "kitchen", t=day(4))
    assert order() == [new, old]
