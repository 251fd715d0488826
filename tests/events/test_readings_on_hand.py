"""Rows and sums of what there is, told by small stories."""

import json
from fractions import Fraction

import pytest

from events.kinds import GRAIN, FoodSet, Package
from events.quantity import decimal
from events.readings import on_hand
from events.readings.lots import Measure
from events.readings.sums import likely_doubles
from tests.build import SOME, About, Household, Other, day

PINT = Package(vessel="jar", content="1", content_unit="pint")
HALF_PINT = Package(vessel="jar", content="1/2", content_unit="pint")


@pytest.fixture
def home() -> Household:
    return Household()


def rows(home: Household) -> list[on_hand.Row]:
    return on_hand.parcels(home.book)


def plain(home: Household) -> list[dict[str, object]]:
    told: list[dict[str, object]] = json.loads(json.dumps(on_hand.to_json(rows(home))))
    return told


def total(home: Household, food: str, store: str = "") -> on_hand.Total:
    (found,) = [one for one in on_hand.totals(home.book, store) if one.food == food]
    return found


def n(amount: Measure) -> Fraction | int:
    return Fraction(amount.n, GRAIN)


def test_a_row_has_the_fields_that_programs_read(home: Household) -> None:
    lot = home.bring_in(12, "green beans", "back-room", unit="jar", form="home-canned",
                        variety="Tendergreen", on="2026-07-14")  # fmt: skip
    (row,) = plain(home)
    assert row == {
        "lot": row["lot"], "name": lot, "food": "green beans", "variety": "Tendergreen",
        "form": "home-canned", "store": "back-room", "amount": {"value": "12", "unit": "jar"},
        "packages": 12, "opened": False, "made": "2026-07-14", "held": False, "set_aside": False,
        "in_doubt": False, "or_in": None, "marks": [], "owner": None, "in_ground": None,
    }  # fmt: skip
    assert isinstance(row["lot"], str)
    assert len(row["lot"]) == 5


def test_food_that_came_by_different_ways_is_one_row_where_it_stands(home: Household) -> None:
    lot = home.bring_in(12, "pears", "attic", unit="jar")
    home.move(2, lot, "attic", "kitchen")
    home.move(3, lot, "attic", "porch")
    home.move(3, lot, "porch", "kitchen")
    assert len(home.parcels(lot)) == 3
    assert [(row.store, n(row.amount), row.packages) for row in rows(home)] == [
        ("attic", 7, 7),
        ("kitchen", 5, 5),
    ]


def test_open_and_closed_are_apart_and_only_closed_ones_are_whole_packages(home: Household) -> None:
    lot = home.bring_in(6, "pears", "attic", unit="jar")
    home.eat("1/2", lot, "attic")
    found = {row.opened: (n(row.amount), row.packages) for row in rows(home)}
    assert found == {True: (Fraction(1, 2), 0), False: (5, 5)}


def test_loose_food_has_no_packages(home: Household) -> None:
    home.bring_in(25, "rolled oats", "barn")
    assert [row.packages for row in rows(home)] == [None]


def test_an_estimate_has_its_ends_and_some_has_no_upper_one(home: Household) -> None:
    home.bring_in(About(26, 22, 30), "walnuts", "sack")
    home.bring_in(SOME, "herbs", "rafters", unit="bunch")
    amounts = {row["food"]: row["amount"] for row in plain(home)}
    assert amounts == {
        "walnuts": {"value": "26", "unit": "lb", "low": "22", "high": "30"},
        "herbs": {"value": "0", "unit": "bunch", "low": "0", "high": None},
    }


def test_a_third_is_exact_beside_its_decimal(home: Household) -> None:
    lot = home.bring_in(1, "honey", "shelf", unit="bucket")
    home.eat("2/3", lot, "shelf")
    assert plain(home)[0]["amount"] == {"value": "0.333333", "unit": "bucket", "exact": "1/3"}


def test_what_is_gone_has_no_row(home: Household) -> None:
    lot = home.bring_in(3, "pears", "attic", unit="jar")
    home.eat(3, lot, "attic")
    assert rows(home) == []


def test_in_doubt_is_apart_from_nought_to_n_and_not_planned_with(home: Household) -> None:
    lot = home.bring_in(7, "pears", "larder", unit="jar")
    home.go_through("larder")
    home.look(lot, "larder", seen=2)
    told = [(row["in_doubt"], row["amount"]) for row in plain(home)]
    assert told == [
        (False, {"value": "2", "unit": "jar"}),
        (True, {"value": "5", "unit": "jar", "low": "0", "high": "5"}),
    ]
    (one,) = total(home, "pears").sums
    assert (n(one.offered), n(one.in_doubt), n(one.plan)) == (2, 5, 2)


def test_held_and_set_aside_are_listed_and_not_offered(home: Household) -> None:
    lot = home.bring_in(10, "cherries", "cellar", unit="jar")
    hold = home.hold(lot, "cellar", 2)
    aside = home.set_aside(lot, "cellar", 3)
    found = {(row.held, row.set_aside): (n(row.amount), row.marks) for row in rows(home)}
    assert found == {
        (False, False): (5, ()),
        (True, False): (2, (hold,)),
        (False, True): (3, (aside,)),
    }
    (one,) = total(home, "cherries").sums
    assert [n(m) for m in (one.offered, one.held, one.set_aside, one.plan)] == [5, 2, 3, 5]


def test_somebody_elses_is_not_ours_to_plan_with(home: Household) -> None:
    home.bring_in(4, "venison", "chest", owner="a neighbour")
    home.bring_in(3, "venison", "chest")
    (one,) = total(home, "venison").sums
    assert (n(one.offered), n(one.others), n(one.plan)) == (3, 4, 3)
    assert {row["owner"] for row in plain(home)} == {None, "a neighbour"}


# -- when it was made ------------------------------------------------------------------------------


def test_made_is_the_date_as_said_without_its_clock_time(home: Household) -> None:
    home.bring_in(1, "a", on="2026-07")
    home.bring_in(1, "b", on="2026-07-14T18:04-07:00", offset=-420)
    home.bring_in(1, "c", on="2026-07-01/2026-07-20")
    home.bring_in(1, "d", on="2026-07-14T23:30Z", offset=60)
    home.bring_in(1, "e", made_at="2025-09")
    assert {row.food: row.made for row in rows(home)} == {
        "a": "2026-07", "b": "2026-07-14", "c": "2026-07-01/2026-07-20", "d": "2026-07-15",
        "e": "2025-09",
    }  # fmt: skip


def test_made_heeds_a_redating_and_what_was_learnt_later(home: Household) -> None:
    first = home.bring_in(1, "jam", on="2026-07-14")
    home.redate(first.removesuffix(":0"), "2026-07-12")
    second = home.bring_in(1, "relish", on="2026-07-14")
    wrong = home.redate(second.removesuffix(":0"), "2026-07-11")
    home.void(wrong)
    third = home.bring_in(1, "chutney", on="2026-07-14")
    home.learn(third, {"made_at": "2024"})
    assert {row.food: row.made for row in rows(home)} == {
        "jam": "2026-07-12", "relish": "2026-07-14", "chutney": "2024",
    }  # fmt: skip


# -- sums ------------------------------------------------------------------------------------------


def test_unlike_units_are_never_added(home: Household) -> None:
    home.bring_in(7, "beet puree", "chest", unit="qt")
    home.bring_in(2, "beet puree", "shed", unit="qt")
    home.bring_in(13, "beet puree", "chest", unit="bag")
    assert [(one.unit, n(one.offered)) for one in total(home, "beet puree").sums] == [
        ("bag", 13),
        ("qt", 9),
    ]
    assert [n(one.offered) for one in total(home, "beet puree", "shed").sums] == [2]


def test_a_total_of_estimates_is_a_range_and_unknown_is_not_nought(home: Household) -> None:
    home.bring_in(About("3.5", 3, 4), "roast", "chest")
    home.bring_in(2, "roast", "chest")
    (one,) = total(home, "roast").sums
    assert one.offered == Measure("lb", 11 * GRAIN // 2, 5 * GRAIN, 6 * GRAIN)
    home.bring_in(SOME, "roast", "shed")
    (one,) = total(home, "roast").sums
    assert one.offered == Measure("lb", 11 * GRAIN // 2, 5 * GRAIN, None)


def test_jars_by_size_and_quarts_of_food_are_two_figures(home: Household) -> None:
    # 52 quarts, 84 pints and 72 half-pints: 208 jars, 52 + 42 + 18 = 112 quarts of food.
    home.bring_in(52, "salsa", "cellar", unit="jar")
    home.bring_in(84, "salsa", "cellar", unit="jar", package=PINT)
    home.bring_in(72, "salsa", "cellar", unit="jar", package=HALF_PINT)
    found = total(home, "salsa")
    assert {one.size: n(one.offered) for one in found.sums} == {
        "1 quart": 52, "1 pint": 84, "1/2 pint": 72,
    }  # fmt: skip
    assert found.volume is not None
    assert (found.volume.unit, n(found.volume)) == ("qt", 112)


def test_no_volume_where_one_package_holds_nobody_knows_how_much(home: Household) -> None:
    home.bring_in(8, "apple butter", "chest", unit="jar", package=PINT)
    found = total(home, "apple butter")
    assert found.volume is not None
    assert n(found.volume) == 4
    part = Package(vessel="jar", content="1", content_unit="pint", fill="not full")
    home.bring_in(3, "apple butter", "chest", unit="jar", package=part)
    assert total(home, "apple butter").volume is None


def test_a_fraction_full_counts_as_that_fraction(home: Household) -> None:
    part = Package(vessel="jar", content="1", content_unit="quart", fill="3/4")
    home.bring_in(2, "stock", "chest", unit="jar", package=part)
    found = total(home, "stock")
    assert found.volume is not None
    assert decimal(found.volume.n) == "1.5"


def test_other_names_are_one_food_only_where_somebody_said_so(home: Household) -> None:
    home.bring_in(5, "chicken thighs", "kitchen", unit="piece")
    home.bring_in(26, "thighs, chkn", "garage", unit="piece")
    assert [one.food for one in on_hand.totals(home.book)] == ["chicken thighs", "thighs, chkn"]
    home.say(FoodSet(food="chicken thighs", facts={"other_names": "thighs, chkn"}))
    (one,) = on_hand.totals(home.book)
    assert (one.food, n(one.sums[0].offered)) == ("chicken thighs", 31)


def test_food_said_in_a_strange_measure_leaves_less_some(home: Household) -> None:
    lot = home.bring_in(10, "beans", "bin")
    assert not total(home, "beans").less_some
    home.eat(Other("2 bowls", "bowl"), lot, "bin")
    assert total(home, "beans").less_some
    home.count(8, lot, "bin")
    assert not total(home, "beans").less_some


# -- written down twice ----------------------------------------------------------------------------


def salsa(home: Household) -> list[str]:
    first = home.bring_in(9, "salsa", "cellar", unit="jar", t=day(6) + 780, by="cook")
    double = home.bring_in(9, "salsa", "cellar", unit="jar", on="2026-08-06", device="tablet",
                           by="gardener", written=day(7))  # fmt: skip
    real = home.bring_in(9, "salsa", "cellar", unit="jar", t=day(13) + 780, by="cook")
    return [first, double, real]


def test_a_likely_double_is_listed_and_planned_with_once(home: Household) -> None:
    first, double, _ = salsa(home)
    assert [(one.of, one.lot) for one in likely_doubles(home.book)] in (
        [(first, double)], [(double, first)])  # fmt: skip
    (one,) = total(home, "salsa").sums
    assert (n(one.offered), n(one.plan)) == (27, 18)


def test_settled_as_two_it_is_two_and_voided_it_is_one(home: Household) -> None:
    _, double, _ = salsa(home)
    (concern,) = home.concerns("maybe-double")
    settled = home.settle(concern)
    (one,) = total(home, "salsa").sums
    assert (n(one.offered), n(one.plan)) == (27, 27)
    home.void(settled)
    home.void(double.removesuffix(":0"))
    (one,) = total(home, "salsa").sums
    assert (n(one.offered), n(one.plan)) == (18, 18)


def test_what_was_taken_of_either_double_is_gone_from_the_one_there_is(home: Household) -> None:
    first, double, _ = salsa(home)
    home.eat(2, first, "cellar", t=day(14))
    home.eat(3, double, "cellar", t=day(14) + 1)
    (one,) = total(home, "salsa").sums
    assert (n(one.offered), n(one.plan)) == (22, 13)  # 9 - 5 = 4 of the double, and 9
    home.eat(4, first, "cellar", t=day(14) + 2)
    home.eat(6, double, "cellar", t=day(14) + 3)
    (one,) = total(home, "salsa").sums
    assert n(one.plan) == 9  # the third batch is never touched by it


# -- taken from the wrong lot ----------------------------------------------------------------------


def picked(home: Household) -> tuple[str, str]:
    old = home.bring_in(2, "beans", "kitchen", unit="jar")
    new = home.bring_in(8, "beans", "kitchen", unit="jar")
    home.eat(2, old, "kitchen")
    home.eat(1, old, "kitchen", picked=True)
    return old, new


def test_picked_short_lowers_the_foods_figure_there(home: Household) -> None:
    picked(home)
    home.bring_in(5, "beans", "cellar", unit="jar")
    (one,) = total(home, "beans").sums
    assert (n(one.offered), n(one.plan)) == (13, 12)
    (there,) = total(home, "beans", "kitchen").sums
    assert (n(there.offered), n(there.plan)) == (8, 7)
    (elsewhere,) = total(home, "beans", "cellar").sums
    assert n(elsewhere.plan) == 5


def test_it_lasts_until_a_whole_count_of_the_food_there(home: Household) -> None:
    _, new = picked(home)
    home.count(3, new, "kitchen", part=True)
    assert n(total(home, "beans").sums[0].plan) == 7
    home.count(7, new, "kitchen")
    (one,) = total(home, "beans").sums
    assert (n(one.offered), n(one.plan)) == (7, 7)


def test_a_count_elsewhere_or_of_another_food_does_not_end_it(home: Household) -> None:
    picked(home)
    other = home.bring_in(4, "peas", "kitchen", unit="jar")
    far = home.bring_in(4, "beans", "cellar", unit="jar")
    home.count(4, other, "kitchen")
    home.count(4, far, "cellar")
    assert n(total(home, "beans").sums[0].plan) == 11


# -- last seen -------------------------------------------------------------------------------------


def test_a_count_that_saw_none_and_a_hold_are_no_sight_of_it(home: Household) -> None:
    lot = home.bring_in(30, "corn", "chest", unit="bag", t=day(1))
    home.eat(29, lot, "chest", t=day(12))
    home.count(0, lot, "chest", part=True, t=day(20))
    home.hold(lot, t=day(21))
    (row,) = rows(home)
    assert n(row.amount) == 1
    assert row.last_seen == home.book.place(home.records[1].name)


def test_food_that_a_count_shows_to_have_been_carried_was_not_seen_where_it_came_from(
    home: Household,
) -> None:
    lot = home.bring_in(15, "apples", "attic", t=day(1))
    count = home.count(6, lot, "porch", t=day(5))
    found = {row.store: row.last_seen for row in rows(home)}
    assert found == {
        "attic": home.book.place(home.records[0].name),
        "porch": home.book.place(count),
    }


def test_seen_where_it_stands(home: Household) -> None:
    lot = home.bring_in(9, "corn", "barn/chest", t=day(1))
    carried = home.move(4, lot, "barn/chest", "kitchen", t=day(3))
    home.look(lot, "barn", seen=5, t=day(5))  # somewhere in the barn: not surely these
    found = {row.store: row.last_seen for row in rows(home)}
    assert found["kitchen"] == found["barn/chest"] == home.book.place(carried)
    whole = home.count(5, lot, "barn", t=day(6))
    found = {row.store: row.last_seen for row in rows(home)}
    assert found["kitchen"] == home.book.place(carried)
    assert found["barn/chest"] == home.book.place(whole)


def test_what_two_people_carried_to_two_places_may_stand_in_either() -> None:
    home = Household()
    lot = home.bring_in(8, "squash", "shed", unit="piece", t=day(1))
    home.move(8, lot, "shed", "back-room", t=day(2), by="cook")
    home.move(8, lot, "shed", "cellar", t=day(2) + 5, by="teen", device="tablet")
    (row,) = on_hand.parcels(home.book)
    assert (row.store, row.or_in) == ("back-room", "cellar")
    assert on_hand.to_json([row])[0]["or_in"] == "cellar"
    home.count(8, lot, "back-room", t=day(3))
    (row,) = on_hand.parcels(home.book)
    assert row.or_in == ""


def test_a_settled_question_of_two_places_is_asked_no_more() -> None:
    home = Household()
    lot = home.bring_in(8, "squash", "shed", unit="piece", t=day(1))
    home.move(8, lot, "shed", "back-room", t=day(2), by="cook")
    home.move(8, lot, "shed", "cellar", t=day(2) + 5, by="teen", device="tablet")
    home.settle(home.concerns("moved-short")[0])
    (row,) = on_hand.parcels(home.book)
    assert row.or_in == ""
