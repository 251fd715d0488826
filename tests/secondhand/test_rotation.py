"""Figures of common practice, from memory and read second-hand: none of them dates a food.

What people go by without a source that was read stands here so that nobody takes it for published:
whole wheat berries in airtight pails for 20 years and more; flour for one to two years cool and
airtight; pumpkins at room temperature to about the turn of the year; delicata and moschata squash
into early summer. The published row decides, or the food is listed by age.
"""

import pytest

from events.keeping.life import Life, NoLife
from events.kinds import FoodSet, StoreSet
from events.readings.reasons import reasons
from events.readings.rotation import Use, use_first
from events.tables import load
from tests.build import Household
from tests.tale import day

TABLES = load()
EARLY_SUMMER = 240
"""Days from the end of September to the end of May."""


def first(food: str, kind: str, *, form: str | None = None, opened: bool = False) -> Use:
    home = Household()
    home.say(StoreSet(store="here", facts={"kind": kind}))
    unit = "jar" if form or opened else "lb"
    lot = home.bring_in(2, food, "here", unit=unit, form=form, t=day(2))
    if opened:
        home.open(2, lot, "here", t=day(5))
    return use_first(home.book, TABLES)[0]


def test_twenty_years_of_wheat_berries_are_common_practice_and_date_nothing() -> None:
    for food in ("wheat", "wheat berries", "white rice"):
        use = first(food, "room")
        assert isinstance(use.life, NoLife)
        assert (use.group, use.from_ms) == ("by age", None)


def test_flour_goes_by_the_printed_months_not_by_two_years() -> None:
    life = first("white flour", "room").life
    assert isinstance(life, Life)
    assert life.high_days == 244


@pytest.mark.parametrize("food", ["delicata squash", "butternut squash"])
def test_squash_into_early_summer_is_common_practice_and_the_printed_row_decides(food: str) -> None:
    life = first(food, "room", form="fresh").life
    assert isinstance(life, Life)
    assert life.high_days is not None
    assert life.high_days < EARLY_SUMMER


def test_pumpkins_to_the_turn_of_the_year_are_within_what_is_printed() -> None:
    life = first("pumpkin", "room", form="fresh").life
    assert isinstance(life, Life)
    # brought in on 1 October, the turn of the year is 92 days on; printed 2-3 months
    assert (life.low_days, life.high_days) == (61, 91)


@pytest.mark.parametrize(
    ("food", "form", "figure", "source"),
    [
        ("green beans", "home-canned", "3 days", "clemson_canned"),
        ("plum jam", "jam", "1 month", "nchfp_jam_2h"),
    ],
)
def test_an_opened_jars_days_are_quoted_and_not_gone_by(
    food: str, form: str, figure: str, source: str
) -> None:
    use = first(food, "refrigerator", form=form, opened=True)
    assert use.from_ms is None
    why = [line for line in reasons(use, TABLES) if f"[{source}]" in line]
    assert len(why) == 1
    assert why[0].startswith("Not gone by, quoted second-hand from ")
    assert figure in why[0]


def test_a_second_hand_source_cannot_be_chosen_into_deciding() -> None:
    home = Household()
    home.say(StoreSet(store="here", facts={"kind": "room"}))
    home.bring_in(2, "green beans", "here", unit="jar", form="home-canned")
    (usual,) = use_first(home.book, TABLES)
    home.say(FoodSet(food="green beans", facts={"source": "clemson_canned"}))
    assert use_first(home.book, TABLES) == [usual]
