"""What was packed anew keeps its age: sacks into pails, jars joined, bags parted."""

from fractions import Fraction

import pytest

from events.kinds import Received, StoreSet, Yield
from events.readings.lived import Keeping
from events.readings.packed import keeping_start
from events.readings.placing import placements
from events.readings.reasons import reasons
from events.readings.rotation import Use, use_first
from events.tables import load
from tests.build import Household, ms
from tests.tale import Much, amount, day

TABLES = load()


def house() -> Household:
    home = Household()
    for store, facts in (
        ("kitchen", {"kind": "kitchen"}), ("pantry", {"kind": "pantry", "climate": "70 F"}),
        ("cellar", {"kind": "cellar"}), ("bed", {"kind": "ground"}), ("chest", {"kind": "freezer"}),
    ):  # fmt: skip
        home.say(StoreSet(store=store, facts=facts))
    return home


def uses(home: Household) -> dict[str, Use]:
    return {use.lot: use for use in use_first(home.book, TABLES)}


def in_days(moment: int | None) -> Fraction:
    assert moment is not None
    return Fraction((moment - ms(0)) // 1000, 86_400)


def pail(much: Much, food: str, store: str, form: str | None = None) -> Yield:
    return Yield(food=food, form=form, amount=amount(much, "lb"), store=store)


def test_a_sack_in_pails_is_as_old_as_the_sack() -> None:
    home, other = house(), house()
    sack = home.bring_in(50, "white flour", "pantry", t=0)
    (pails,) = home.repack([home.draw(50, sack, "pantry")],
                           [pail(50, "white flour", "pantry")], t=day(40))  # fmt: skip
    left = other.bring_in(50, "white flour", "pantry", t=0)
    use, as_it_was = uses(home)[pails], uses(other)[left]
    assert (use.from_ms, use.to_ms) == (as_it_was.from_ms, as_it_was.to_ms)
    assert (use.since, use.packed_from) == (ms(0), sack)
    why = reasons(use, TABLES)
    assert "Packed anew: it keeps the age of the food that it came from." in why
    assert any(line.startswith("39 days in pantry before") for line in why)


def test_what_the_kitchen_used_up_is_gone_from_what_is_packed_into_the_cellar() -> None:
    home = house()
    lot = home.bring_in(40, "potatoes", "kitchen", t=0)
    (crate,) = home.repack([home.draw(40, lot, "kitchen")], [pail(40, "potatoes", "cellar")],
                           t=day(8))  # fmt: skip
    # a week of 14 days in the kitchen (Missouri); in the cellar up to six months (Vermont)
    assert in_days(uses(home)[crate].from_ms) == pytest.approx(
        7 + 109 * (1 - Fraction(7, 14)), abs=1e-4
    )
    there = placements(Keeping(home.book, TABLES), home.lot(crate), ms(day(9)), ["cellar"])
    assert there[0].from_ms == uses(home)[crate].from_ms


def test_packed_anew_twice_and_carried_between_it_is_still_as_old() -> None:
    home = house()
    lot = home.bring_in(40, "potatoes", "cellar", t=0)
    home.move(40, lot, "cellar", "kitchen", t=day(3))
    (crate,) = home.repack([home.draw(40, lot, "kitchen")], [pail(40, "potatoes", "kitchen")],
                           t=day(5))  # fmt: skip
    (bags,) = home.repack([home.draw(40, crate, "kitchen")], [pail(40, "potatoes", "cellar")],
                          t=day(9))  # fmt: skip
    use = uses(home)[bags]
    assert [(stay.store, stay.until) for stay in use.path.stays] == [
        ("cellar", ms(day(3))), ("kitchen", ms(day(5))), ("kitchen", ms(day(9))), ("cellar", None),
    ]  # fmt: skip
    used = Fraction(2, 109) + Fraction(6, 14)
    assert in_days(use.from_ms) == pytest.approx(8 + 109 * (1 - used), abs=1e-3)


def test_of_what_was_joined_the_oldest_and_most_used_counts() -> None:
    home = house()
    cool = home.bring_in(20, "potatoes", "cellar", t=0)
    warm = home.bring_in(20, "potatoes", "kitchen", t=day(4))
    (crate,) = home.repack(
        [home.draw(20, cool, "cellar"), home.draw(20, warm, "kitchen")],
        [pail(40, "potatoes", "cellar")], t=day(10),
    )  # fmt: skip
    use = uses(home)[crate]
    # six days in the kitchen used more than nine in the cellar
    assert (use.packed_from, use.since) == (warm, ms(day(4)))
    assert in_days(use.from_ms) == pytest.approx(9 + 109 * (1 - Fraction(6, 14)), abs=1e-3)
    # by age it is as old as the oldest
    assert keeping_start(home.book, home.lot(crate))[0] == ms(0)


def test_food_in_another_form_starts_anew() -> None:
    home = house()
    apples = home.bring_in(40, "apples", "cellar", form="fresh", t=0)
    (rings,) = home.repack([home.draw(20, apples, "cellar")],
                           [pail(3, "apples", "pantry", "dried")], t=day(20))  # fmt: skip
    (sauce,) = home.put_up([home.draw(10, apples, "cellar")],
                           [pail(8, "apples", "chest", "frozen")], t=day(21))  # fmt: skip
    found = uses(home)
    assert (found[rings].since, found[rings].packed_from) == (ms(day(20)), "")
    assert (found[sauce].since, found[sauce].packed_from) == (ms(day(21)), "")
    # what is said to be of no form is of the form that it came in
    (crate,) = home.repack([home.draw(5, apples, "cellar")], [pail(5, "apples", "cellar")],
                           t=day(22))  # fmt: skip
    assert uses(home)[crate].since == ms(0)


def test_what_was_dug_and_packed_keeps_from_when_it_was_dug() -> None:
    home = house()
    lot = home.bring_in(30, "carrots", "bed", t=0)
    home.move(30, lot, "bed", "cellar", t=day(20))
    (box,) = home.repack([home.draw(30, lot, "cellar")], [pail(30, "carrots", "cellar")],
                         t=day(25))  # fmt: skip
    assert uses(home)[box].since == ms(day(20))


def test_a_makers_use_by_goes_on_to_the_new_package_a_best_by_does_not() -> None:
    home = house()
    meat = home.say(Received(food="ground beef", form="frozen", amount=amount(10, "lb"), store="chest",
                             origin="bought", printed="use by 2026-09-20"), t=0)  # fmt: skip
    oats = home.say(Received(food="rolled oats", amount=amount(10, "lb"), store="pantry",
                             origin="bought", printed="best by 2026-09-20"), t=0)  # fmt: skip
    home.units |= {f"{meat}:0": "lb", f"{oats}:0": "lb"}
    (bags,) = home.repack([home.draw(10, f"{meat}:0", "chest")],
                          [pail(10, "ground beef", "chest", "frozen")], t=day(2))  # fmt: skip
    (tub,) = home.repack([home.draw(10, f"{oats}:0", "pantry")], [pail(10, "rolled oats", "pantry")],
                         t=day(2))  # fmt: skip
    found = uses(home)
    assert found[bags].by_maker
    assert found[bags].lapsed(ms(day(60)))
    assert not found[tub].by_maker
    assert found[tub].since == ms(0)


def test_a_day_that_was_learnt_of_the_new_package_goes_before_the_age_of_the_old() -> None:
    home = house()
    sack = home.bring_in(50, "white flour", "pantry", t=0)
    (pails,) = home.repack([home.draw(50, sack, "pantry")], [pail(50, "white flour", "pantry")],
                           t=day(40))  # fmt: skip
    home.learn(pails, {"made_at": "2026-08-20"})
    assert uses(home)[pails].since == ms(day(20)) - 8 * 3_600_000
    assert uses(home)[pails].packed_from == ""
