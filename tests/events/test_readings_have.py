"""Do we have any? One answer over all stores."""

import json
from datetime import UTC

from events.kinds import FoodSet
from events.quantity import decimal
from events.readings import have
from tests.build import SOME, Household, day


def thighs() -> Household:
    home = Household()
    home.bring_in(26, "thighs, chkn", "garage", unit="thigh", t=day(2))
    home.bring_in(5, "chicken thighs", "kitchen", unit="thigh", t=day(3))
    home.bring_in(SOME, "thighs", "shed", unit="package", t=day(4))
    return home


def join(home: Household) -> None:
    home.say(FoodSet(food="chicken thighs", facts={"other_names": "thighs; thighs, chkn"}),
             t=day(5))  # fmt: skip


def test_before_anybody_said_so_they_are_asked_about_and_not_summed() -> None:
    answer = have.answer(thighs().book, "thighs")
    assert [one.food for one in answer.foods] == ["thighs"]
    assert [near.food for near in answer.near] == ["chicken thighs", "thighs, chkn"]
    lines = have.sentences(answer, UTC)
    assert lines[0] == "thighs: some packages"
    assert lines[-2].startswith("Do you also mean chicken thighs (5 thighs)? It is not counted in.")


def test_one_answer_by_place_oldest_first_what_is_uncounted_apart() -> None:
    home = thighs()
    join(home)
    answer = have.answer(home.book, "thighs")
    (one,) = answer.foods
    assert answer.near == ()
    assert one.food == "chicken thighs"
    assert one.called == ("chicken thighs", "thighs", "thighs, chkn")
    assert [place.store for place in one.places] == ["garage", "kitchen", "shed"]
    sums = {part.unit: decimal(part.offered.n) for part in one.total.sums}
    assert sums == {"thigh": "31", "package": "0"}
    assert have.sentences(answer, UTC)[0] == "chicken thighs: some packages, 31 thighs"


def test_each_row_says_its_lot_its_age_and_when_it_was_last_seen() -> None:
    home = Household()
    old = home.bring_in(30, "corn", "chest", unit="bag", form="frozen", t=day(1))
    home.eat(29, old, "chest", t=day(12))
    home.count(0, old, "chest", part=True, t=day(20))
    home.bring_in(4, "corn", "chest", unit="bag", t=day(13))
    lines = have.sentences(have.answer(home.book, "corn"), UTC)
    assert lines[0] == "corn: 5 bags"
    assert [line.split(",")[0] for line in lines[1:]] == ["  chest: 1 bag", "  chest: 4 bags"]
    assert lines[1].endswith("frozen, of 1 Aug 2026, last seen Wed 12 Aug 2026")


def test_what_is_not_for_eating_is_listed_and_not_in_the_sum() -> None:
    home = Household()
    lot = home.bring_in(9, "cherries", "cellar", unit="jar")
    home.hold(lot, "cellar", 2)
    home.set_aside(lot, "cellar", 3)
    theirs = home.bring_in(1, "cherries", "cellar", unit="jar", owner="a neighbour")
    gone = home.bring_in(6, "cherries", "attic", unit="jar")
    home.go_through("attic")
    lines = have.sentences(have.answer(home.book, "cherries"), UTC)
    assert lines[0] == (
        "cherries: 4 jars of 1 quart, 2 jars of 1 quart held, 3 jars of 1 quart set aside, "
        "1 jar of 1 quart not ours, nought to 6 jars of 1 quart: where now? (4 qt of food)"
    )
    text = "\n".join(lines)
    assert "held: not to be eaten for now" in text
    assert "belongs to a neighbour" in text
    assert "attic: nought to 6 jars, where now?" in text
    assert theirs != gone


def test_several_foods_are_answered_each_by_itself() -> None:
    home = Household()
    home.bring_in(2, "green beans", "shelf", unit="qt")
    home.bring_in(3, "broad beans", "shelf", unit="qt")
    answer = have.answer(home.book, "beans")
    assert [(one.food, decimal(one.total.sums[0].offered.n)) for one in answer.foods] == [
        ("broad beans", "3"),
        ("green beans", "2"),
    ]


def test_none_left_and_never_heard_of_are_two_answers() -> None:
    home = Household()
    lot = home.bring_in(2, "beans", "shelf")
    home.eat(2, lot, "shelf")
    assert have.sentences(have.answer(home.book, "beans"), UTC) == ["beans: none"]
    assert have.sentences(have.answer(home.book, "quinces"), UTC) == [
        "No food here is called “quinces”."
    ]


def test_the_plan_is_said_where_it_is_less() -> None:
    home = Household()
    home.bring_in(9, "salsa", "cellar", unit="pt", t=day(6), by="cook")
    home.bring_in(9, "salsa", "cellar", unit="pt", t=day(6) + 600, by="gardener", device="tablet")
    assert have.sentences(have.answer(home.book, "salsa"), UTC)[0] == (
        "salsa: 18 pt (plan with 9 pt)"
    )


def test_a_short_pick_is_in_the_plan_too() -> None:
    home = Household()
    old = home.bring_in(1, "beans", "kitchen", unit="qt")
    home.bring_in(8, "beans", "kitchen", unit="qt")
    home.eat(2, old, "kitchen", picked=True)
    assert have.sentences(have.answer(home.book, "beans"), UTC)[0] == (
        "beans: 8 qt (plan with 7 qt)"
    )


def test_for_programs() -> None:
    home = thighs()
    join(home)
    told = json.loads(json.dumps(have.to_json(have.answer(home.book, "thighs"))))
    (food,) = told["foods"]
    assert [place["store"] for place in food["places"]] == ["garage", "kitchen", "shed"]
    assert [one["offered"] for one in food["total"]["sums"]] == [
        {"value": "0", "unit": "package", "low": "0", "high": None},
        {"value": "31", "unit": "thigh"},
    ]
    assert food["places"][0]["parcels"][0]["last_seen"] == home.book.place("hall:1")
