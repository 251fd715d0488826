"""Use by the week, as a range: logged at least, with the gaps between counts at most.

August 2026 begins on a Saturday; its Mondays are the 3rd, 10th, 17th, 24th and 31st.
"""

from datetime import UTC
from fractions import Fraction
from zoneinfo import ZoneInfo

from events.kinds import GRAIN
from events.projections.usage import Used, Week, usage
from tests.build import SOME, About, Household, day, makes, ms


def used(home: Household, until: float = day(23)) -> Used:
    (found,) = usage(home.book.lots.values(), ms(until), UTC)
    return found


def weeks(home: Household, until: float = day(23)) -> dict[int, tuple[object, object]]:
    """(at least, at most) by the Monday's day of August, 27 for 27 July; weeks of none left out."""
    return {week.monday.day: span(week) for week in used(home, until).weeks if span(week) != (0, 0)}


def span(week: Week) -> tuple[object, object]:
    return Fraction(week.low, GRAIN), None if week.high is None else Fraction(week.high, GRAIN)


def total(home: Household, until: float = day(23)) -> tuple[object, object]:
    found = used(home, until).weeks
    low = sum(week.low for week in found)
    high = sum(week.high or 0 for week in found)
    return Fraction(low, GRAIN), Fraction(high, GRAIN)


def test_only_what_was_eaten_is_use() -> None:
    # Left 13 + put up 26 - given 4 - spoiled 1 - left now 3 = 31 eaten.
    home = Household()
    left = home.bring_in(13, "sauce", "cellar", unit="qt", t=day(1))
    home.eat(13, left, "cellar", t=day(4))
    lot = home.bring_in(26, "sauce", "cellar", unit="qt", t=day(5))
    home.give(4, lot, "cellar", t=day(6))
    home.spoil(1, lot, "cellar", t=day(6) + 1)
    home.eat(18, lot, "cellar", t=day(11))
    swapped = home.bring_in(4, "sauce", "cellar", unit="qt", origin="exchange", t=day(12))
    home.count(3, lot, "cellar", t=day(20))
    home.count(4, swapped, "cellar", t=day(20) + 1)
    assert weeks(home) == {3: (13, 13), 10: (18, 18)}
    assert total(home) == (31, 31)


def test_planted_drawn_and_estimates_put_right_are_not_use() -> None:
    home = Household()
    lot = home.bring_in(About(26, 22, 30), "walnuts", "sack", t=day(1))
    home.count(24, lot, "sack", t=day(2))
    home.plant(1, lot, "sack", t=day(3))
    home.put_up([home.draw(3, lot, "sack")], [makes(2, "cake", "chest")], t=day(4))
    (cake, walnuts) = usage(home.book.lots.values(), ms(day(23)), UTC)
    assert (cake.food, walnuts.food) == ("cake", "walnuts")
    assert all(span(week) == (0, 0) for week in walnuts.weeks)


def test_an_estimate_eaten_is_a_range_and_some_has_no_upper_end() -> None:
    home = Household()
    lot = home.bring_in(20, "beans", "bin", t=day(1))
    home.eat(About("3.5", 3, 4), lot, "bin", t=day(4))
    home.eat(SOME, lot, "bin", t=day(11))
    assert weeks(home) == {3: (3, 4), 10: (0, 17)}  # some: at most all that may have been left
    home = Household()
    herbs = home.bring_in(SOME, "herbs", "rafters", unit="bunch", t=day(1))
    home.eat(SOME, herbs, "rafters", t=day(11))
    assert weeks(home) == {10: (0, None)}


def test_a_gap_is_spread_over_the_days_since_the_last_count() -> None:
    home = Household()
    lot = home.bring_in(20, "crackers", "shelf", unit="box", t=day(1))
    home.count(16, lot, "shelf", t=day(1) + 60)  # the day it came: four are already gone
    home.count(7, lot, "shelf", t=day(10) + 60)  # nine more, one a day from the 2nd to the 10th
    assert weeks(home) == {27: (0, 5), 3: (0, 7), 10: (0, 1)}
    assert total(home) == (0, 13)


def test_the_spread_adds_up_exactly_where_it_does_not_divide() -> None:
    home = Household()
    lot = home.bring_in(10, "crackers", "shelf", unit="box", t=day(1))
    home.count(3, lot, "shelf", t=day(18))
    assert total(home) == (0, 7)
    high = sum(week.high or 0 for week in used(home).weeks)
    assert high == 7 * GRAIN


def test_food_that_came_later_was_not_used_before_it_came() -> None:
    home = Household()
    lot = home.bring_in(20, "crackers", "attic", unit="box", t=day(1))
    home.move(10, lot, "attic", "shelf", t=day(11))
    home.count(8, lot, "shelf", t=day(13))
    assert weeks(home) == {10: (0, 2)}


def test_what_turned_up_was_not_used() -> None:
    home = Household()
    lot = home.bring_in(9, "jam", "shed", unit="jar", t=day(1))
    home.count(5, lot, "shed", t=day(4))
    assert total(home) == (0, 4)
    home.count(8, lot, "shed", t=day(6))
    assert total(home) == (0, 1)


def test_loose_food_that_shrank_may_have_been_eaten() -> None:
    home = Household()
    lot = home.bring_in(40, "potatoes", "cellar", form="fresh", t=day(3))
    home.weigh(38, lot, "cellar", t=day(5))
    assert weeks(home) == {3: (0, 2)}


def test_found_and_missing_of_one_food_in_one_place_are_set_off() -> None:
    home = Household()
    old = home.bring_in(6, "beans", "shelf", unit="jar", t=day(1))
    new = home.bring_in(6, "beans", "shelf", unit="jar", t=day(2))
    deed = home.count(4, old, "shelf", t=day(5))
    home.count(7, new, "shelf", t=day(5) + 2, deed=deed)
    assert total(home) == (0, 1)


def test_found_elsewhere_or_before_sets_nothing_off() -> None:
    home = Household()
    old = home.bring_in(6, "beans", "shelf", unit="jar", t=day(1))
    new = home.bring_in(6, "beans", "shed", unit="jar", t=day(2))
    home.count(7, new, "shed", t=day(3))
    home.count(6, old, "shelf", t=day(4))
    home.count(4, old, "shelf", t=day(5))
    assert total(home) == (0, 2)


def test_found_before_the_other_lot_was_known_there_sets_nothing_off() -> None:
    home = Household()
    old = home.bring_in(6, "beans", "shelf", unit="jar", t=day(1))
    home.count(7, old, "shelf", t=day(3))
    new = home.bring_in(6, "beans", "shelf", unit="jar", t=day(4))
    home.count(5, new, "shelf", t=day(5))
    assert total(home) == (0, 1)


def test_a_look_at_a_part_does_not_end_the_days_of_a_gap() -> None:
    home = Household()
    lot = home.bring_in(20, "crackers", "shelf", unit="box", t=day(1))
    home.count(11, lot, "shelf", part=True, t=day(9))
    home.count(10, lot, "shelf", t=day(11))
    assert weeks(home) == {27: (0, 1), 3: (0, 7), 10: (0, 2)}


def test_a_take_put_down_to_the_wrong_lot_is_used_once() -> None:
    home = Household()
    old = home.bring_in(2, "beans", "shelf", unit="jar", t=day(1))
    new = home.bring_in(8, "beans", "shelf", unit="jar", t=day(2))
    home.eat(3, old, "shelf", picked=True, t=day(4))
    home.count(7, new, "shelf", t=day(5))
    assert total(home) == (3, 3)


def test_what_a_count_explains_later_is_no_gap() -> None:
    home = Household()
    lot = home.bring_in(18, "onions", "hall", t=day(1))
    count = home.count(11, lot, "hall", t=day(5))
    home.give(5, lot, "hall", explains=count, t=day(6))
    assert total(home) == (0, 2)


def test_somebody_elses_food_is_not_our_use() -> None:
    home = Household()
    lot = home.bring_in(6, "venison", "chest", owner="a neighbour", t=day(1))
    home.eat(2, lot, "chest", t=day(4))
    assert usage(home.book.lots.values(), ms(day(9)), UTC) == []


def test_units_are_apart_and_names_are_joined_by_the_caller() -> None:
    home = Household()
    home.eat(1, home.bring_in(6, "thighs", "a", unit="piece", t=day(1)), "a", t=day(4))
    home.eat(2, home.bring_in(6, "thighs", "a", t=day(1) + 1), "a", t=day(4) + 1)
    home.eat(3, home.bring_in(6, "hen", "a", unit="piece", t=day(1) + 2), "a", t=day(4) + 2)
    lots = home.book.lots.values()
    apart = [(one.food, one.unit) for one in usage(lots, ms(day(9)), UTC)]
    assert apart == [("hen", "piece"), ("thighs", "lb"), ("thighs", "piece")]
    joined = usage(lots, ms(day(9)), UTC, lambda _: "hen")
    assert [(one.unit, sum(week.low for week in one.weeks) // GRAIN) for one in joined] == [
        ("lb", 2),
        ("piece", 4),
    ]


def test_weeks_without_any_are_there_and_weeks_without_food_are_marked() -> None:
    home = Household()
    lot = home.bring_in(2, "eggs", "kitchen", unit="egg", t=day(1))
    home.eat(2, lot, "kitchen", t=day(4))
    home.bring_in(6, "eggs", "kitchen", unit="egg", t=day(18))
    found = used(home, day(26))
    assert [(week.monday.day, week.ran_out) for week in found.weeks] == [
        (27, False), (3, True), (10, True), (17, True), (24, False),
    ]  # fmt: skip


def test_food_put_in_other_packages_did_not_run_out_meanwhile() -> None:
    home = Household()
    sack = home.bring_in(10, "flour", "barn", t=day(1))
    home.repack([home.draw(10, sack, "barn")], [makes(10, "flour", "shelf", unit="lb", packed=False)],
                t=day(4))  # fmt: skip
    assert not any(week.ran_out for week in used(home).weeks)


def test_a_week_is_that_of_the_households_clock() -> None:
    home = Household()
    lot = home.bring_in(9, "eggs", "kitchen", unit="egg", t=day(1))
    home.eat(1, lot, "kitchen", t=day(3) - 480 - 30)  # Sunday 23:30 in UTC
    lots = home.book.lots.values()
    (utc,) = usage(lots, ms(day(4)), UTC)
    (east,) = usage(lots, ms(day(4)), ZoneInfo("Europe/Berlin"))
    assert [week.low // GRAIN for week in utc.weeks] == [1, 0]
    assert [week.low // GRAIN for week in east.weeks] == [0, 1]


def test_nothing_after_the_day_asked_for() -> None:
    home = Household()
    lot = home.bring_in(9, "eggs", "kitchen", unit="egg", t=day(1))
    home.eat(1, lot, "kitchen", t=day(4))
    home.eat(1, lot, "kitchen", t=day(5))
    assert total(home, day(4)) == (1, 1)
