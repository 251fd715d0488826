"""Stories of about, maybe, three to four, and some."""

from fractions import Fraction

from tests.build import SOME, About, Household


def about_26() -> tuple[Household, str]:
    house = Household()
    return house, house.bring_in(About(26, 22, 30), "dry beans", "sack")


def test_an_estimate_has_a_low_and_a_high_beside_what_is_likely() -> None:
    house, beans = about_26()
    assert house.spread(beans, "sack") == (22, 26, 30)
    assert house.balance(beans) == {"in": 26, "on_hand": 26}


def test_what_goes_out_lowers_low_likely_and_high() -> None:
    house, beans = about_26()
    house.eat(6, beans, "sack")
    assert house.spread(beans, "sack") == (16, 20, 24)


def test_an_estimate_taken_lowers_by_its_own_high_likely_and_low() -> None:
    house, beans = about_26()
    house.eat(About(5, 4, 8), beans, "sack")
    assert house.spread(beans, "sack") == (14, 21, 26)


def test_low_never_falls_below_nought() -> None:
    house, beans = about_26()
    house.eat(24, beans, "sack")
    assert house.spread(beans, "sack") == (0, 2, 6)


def test_a_take_beyond_what_is_likely_draws_on_the_estimate_up_to_its_high() -> None:
    house, beans = about_26()
    house.eat(29, beans, "sack")
    assert house.spread(beans, "sack") == (0, 0, 1)
    assert house.balance(beans) == {"in": 26, "re_estimated": 3, "consumed": 29}
    assert house.kinds() == []


def test_a_take_beyond_the_high_is_short_like_any_other() -> None:
    house, beans = about_26()
    house.eat(33, beans, "sack")
    assert house.spread(beans, "sack") == (0, 0, 0)
    assert house.balance(beans) == {"in": 26, "re_estimated": 4, "found": 3, "consumed": 33}
    assert house.kinds() == ["more-than-known"]


def test_a_count_within_the_range_goes_to_what_it_saw_without_a_word() -> None:
    house, beans = about_26()
    house.count(23, beans, "sack")
    assert house.spread(beans, "sack") == (23, 23, 23)
    assert house.balance(beans) == {"in": 26, "re_estimated": -3, "on_hand": 23}
    assert house.kinds() == []


def test_a_count_beyond_the_high_is_re_estimated_with_a_concern() -> None:
    house, beans = about_26()
    house.count(35, beans, "sack")
    assert house.spread(beans, "sack") == (35, 35, 35)
    assert house.balance(beans) == {"in": 26, "re_estimated": 9, "on_hand": 35}
    assert house.kinds() == ["estimate-off"]


def test_a_count_below_the_low_is_re_estimated_not_missing() -> None:
    house, beans = about_26()
    house.count(10, beans, "sack")
    assert house.balance(beans) == {"in": 26, "re_estimated": -16, "on_hand": 10}


def test_a_newer_estimate_replaces_an_older_one() -> None:
    house, beans = about_26()
    house.count(About(28, 25, 34), beans, "sack")
    assert house.spread(beans, "sack") == (25, 28, 34)
    assert house.balance(beans) == {"in": 26, "re_estimated": 2, "on_hand": 28}


def test_an_estimate_that_contains_an_exact_figure_confirms_it() -> None:
    house = Household()
    beans = house.bring_in(26, "dry beans", "sack")
    house.count(About(24, 21, 28), beans, "sack")
    assert house.spread(beans, "sack") == (26, 26, 26)
    assert house.balance(beans) == {"in": 26, "on_hand": 26}
    assert house.kinds() == []


def test_an_estimate_that_does_not_contain_the_exact_figure_is_a_count_like_any_other() -> None:
    house = Household()
    beans = house.bring_in(40, "dry beans", "sack")
    house.count(About(24, 21, 28), beans, "sack")
    assert house.spread(beans, "sack") == (21, 24, 28)
    assert house.balance(beans) == {"in": 40, "missing": 16, "on_hand": 24}


def test_some_is_not_nought() -> None:
    house = Household()
    herbs = house.bring_in(SOME, "thyme", "beam", unit="bunch")
    assert house.spread(herbs, "beam") == (0, 0, None)
    house.eat(3, herbs, "beam")
    assert house.balance(herbs) == {"re_estimated": 3, "consumed": 3}
    assert house.spread(herbs, "beam") == (0, 0, None)
    assert house.kinds() == []


def test_some_of_it_eaten_leaves_the_figure_and_opens_the_low() -> None:
    house = Household()
    herbs = house.bring_in(12, "thyme", "beam", unit="bunch")
    house.eat(SOME, herbs, "beam")
    assert house.spread(herbs, "beam") == (0, 12, 12)


def test_a_count_ends_the_guessing() -> None:
    house = Household()
    herbs = house.bring_in(SOME, "thyme", "beam", unit="bunch")
    house.count(7, herbs, "beam")
    assert house.spread(herbs, "beam") == (7, 7, 7)
    assert house.balance(herbs) == {"re_estimated": 7, "on_hand": 7}
    assert house.kinds() == []


def test_what_is_moved_exactly_is_exact_where_it_goes() -> None:
    house, beans = about_26()
    house.move(10, beans, "sack", "jar")
    assert house.spread(beans, "jar") == (10, 10, 10)
    assert house.spread(beans, "sack") == (12, 16, 20)


def test_an_estimate_moved_is_an_estimate_where_it_goes() -> None:
    house, beans = about_26()
    house.move(About(10, 8, 13), beans, "sack", "jar")
    assert house.spread(beans, "jar") == (8, 10, 13)
    assert house.spread(beans, "sack") == (9, 16, 22)


def test_several_estimates_in_one_store_are_a_range_together() -> None:
    """Two roasts of three to four pounds each: six to eight."""
    house = Household()
    first = house.bring_in(About(Fraction(7, 2), 3, 4), "roast", "freezer")
    second = house.bring_in(About(Fraction(7, 2), 3, 4), "roast", "freezer")
    spreads = [house.spread(lot, "freezer") for lot in (first, second)]
    assert [sum(s[0] for s in spreads), sum(s[1] for s in spreads)] == [6, 7]


def test_spoiling_an_estimate_lowers_it() -> None:
    house, beans = about_26()
    house.spoil(About(6, 5, 7), beans, "sack", cause="mould")
    assert house.spread(beans, "sack") == (15, 20, 25)
    assert house.balance(beans) == {"in": 26, "spoiled": 6, "on_hand": 20}


def test_the_rest_of_an_estimate_is_what_is_likely_there() -> None:
    house, beans = about_26()
    house.eat(26, beans, "sack", rest=True)
    assert house.spread(beans, "sack") == (0, 0, 0)
    assert house.balance(beans) == {"in": 26, "consumed": 26}


def test_a_part_seen_beyond_the_likely_figure_raises_the_estimate() -> None:
    house, beans = about_26()
    house.count(28, beans, "sack", part=True)
    low, likely, high = house.spread(beans, "sack")
    assert (low, likely, high) == (28, 28, 30)
    assert house.balance(beans) == {"in": 26, "re_estimated": 2, "on_hand": 28}
