"""Life that adds up, quoted second-hand: the sum is our own assumption, and is tested as such.

A note to a chart of field rations, reported elsewhere and not read at its source: of 22 months at
100 F eleven use half the life, and of 100 months at 70 F fifty are left. The chart itself was read
second-hand too, so no lot is dated by it.
"""

from events.keeping.curve import DAY, Curve
from events.keeping.exposure import Exposure
from events.keeping.life import Life, Lives, NoLife, Question
from events.keeping.profile import cycle_of
from events.keeping.rates import WHOLE, Rates, rate_of
from events.tables import load

TABLES = load()
MONTH = 30.44


def test_eleven_of_22_months_leave_fifty_of_a_hundred() -> None:
    hot, mild = (rate_of(round(months * MONTH)) for months in (22, 100))
    used = hot * round(11 * MONTH)
    left = (WHOLE - used) / mild / MONTH
    assert abs(left - 50) < 0.1


def test_the_chart_itself_dates_nothing() -> None:
    lives = Lives(TABLES)
    question = Question(names=("retort pouch ration",), form="commercially-canned", kind="room")
    rates = Rates(lives, question)
    for milli in (15_600, 21_100, 37_800):
        answer = rates.at(milli)
        if isinstance(answer, Life):
            assert not answer.row.source_id.endswith("_2h")


def test_dry_milk_read_second_hand_is_not_interpolated() -> None:
    # 48, 24 and 3 months at 50, 70 and 90 F, believed to be Utah State's, not checked
    rates = Rates(Lives(TABLES), Question(names=("dry milk",), kind="room", source="usu_milk_2h"))
    assert all(row.row.source_id != "usu_milk_2h" for row in rates.rows)


def test_squash_chilled_by_common_knowledge_is_said_to_be_so() -> None:
    (row,) = (row for row in TABLES.limits["winter-squash"] if row.harm == "chilling")
    assert row.source_id == "memory"
    assert not TABLES.sources["memory"].published


def test_eggs_have_no_published_life_at_any_temperature() -> None:
    rates = Rates(Lives(TABLES), Question(names=("eggs",), kind="refrigerator"))
    exposure = Exposure(Curve(cycle_of((4_000,) * 12), {}, {}), rates)
    assert isinstance(rates.at(4_000), NoLife)
    assert exposure.when("low", 20_000 * DAY, WHOLE) is None
    assert exposure.used("low", 0, 10**12) == 0
