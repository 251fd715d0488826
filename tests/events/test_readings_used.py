"""How much of its life a food has used, in figures and as a line."""

from events.kinds import StoreSet
from events.readings.rotation import DAY, Use, use_first
from events.readings.used import Shares, line, used
from events.tables import load
from tests.build import Household
from tests.tale import day

TABLES = load()


def squash() -> Use:
    """Acorn squash in a kitchen keeps 35 to 56 days."""
    home = Household()
    home.say(StoreSet(store="kitchen", facts={"kind": "kitchen"}))
    home.bring_in(5, "acorn squash", "kitchen", unit="squash", t=day(5))
    (use,) = use_first(home.book, TABLES)
    return use


def test_the_shares_are_days_gone_over_days_it_keeps() -> None:
    use = squash()
    # 14 of 56, of 45 1/2 and of 35 days
    assert used(use, use.since + 14 * DAY) == Shares(25, 30, 40)
    assert used(use, use.since) == Shares(0, 0, 0)
    assert used(use, use.since - DAY) == Shares(0, 0, 0)
    assert used(use, use.since + 70 * DAY) == Shares(125, 153, 200)


def test_the_line_runs_to_the_high_end_and_marks_three_days() -> None:
    use = squash()
    # a sign is two days: 35 is in the 18th, 45 1/2 in the 23rd, 56 the last
    assert line(use, use.since + 14 * DAY, 28) == "[=======..........f....l....t]"
    assert line(use, use.since + 50 * DAY, 28) == "[=================f====l==..t]"
    assert line(use, use.since + 57 * DAY, 28) == "[=================f====l====t]>"
    assert line(use, use.since, 28) == "[.................f....l....t]"


def test_an_open_end_is_said_and_a_food_without_a_time_has_no_line() -> None:
    home = Household()
    home.say(StoreSet(store="kitchen", facts={"kind": "kitchen"}))
    home.bring_in(5, "unheard of roots", "kitchen")
    (use,) = use_first(home.book, TABLES)
    assert used(use, use.since + DAY) is None
    assert line(use, use.since + DAY, 20) == ""
    timed = squash()
    wide = Use(**{name: getattr(timed, name) for name in timed.__struct_fields__}
               | {"to_ms": None, "likely_ms": None})  # fmt: skip
    assert line(wide, wide.since + 7 * DAY, 10) == "[==.......f]+"
    assert used(wide, wide.since + 7 * DAY) == Shares(None, None, 20)
