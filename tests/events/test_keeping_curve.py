"""A store's temperature day by day: as stated, corrected by readings, warmed by machines."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.keeping.curve import DAY, REACH, Curve, again, by_day, usual, warmth_of
from events.keeping.profile import (
    CYCLE,
    Damped,
    Stated,
    cycle_of,
    damped,
    milli_of,
    month_cycle,
    read,
)
from events.quantity import NotUnderstood

YEAR = (2000, 3000, 6000, 9000, 12000, 15000, 17000, 17000, 14000, 10000, 6000, 3000)


def day(text: str) -> int:
    return (date.fromisoformat(text) - date(1970, 1, 1)).days


# -- as stated ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "months"),
    [
        ("50 F", (10_000,) * 12),
        ("4 °C", (4_000,) * 12),
        ("-18 c", (-18_000,) * 12),
        ("2 3 6 9 12 15 17 17 14 10 6 3 C", YEAR),
        ("2, 3, 6, 9, 12, 15, 17, 17, 14, 10, 6, 3 C", YEAR),
        ("32 32 32 32 32 50 50 50 50 50 50 50 F", (0,) * 5 + (10_000,) * 7),
    ],
)
def test_a_climate_is_one_figure_or_twelve(typed: str, months: tuple[int, ...]) -> None:
    assert read(typed) == Stated(months)


@pytest.mark.parametrize(
    ("typed", "share"),
    [("outdoors", 1), ("outdoors 1/2", "1/2"), ("outdoors x 0.4", "2/5"), ("outdoors, half", "1/2"),
     ("as outdoors damped by a third", "1/3")],
)  # fmt: skip
def test_or_the_outdoors_damped_by_a_share(typed: str, share: str | int) -> None:
    assert read(typed) == Damped(Fraction(share))


@pytest.mark.parametrize(
    "typed", ["", "cool", "50", "50 60 F", "1 2 3 4 5 6 7 8 9 10 11 12 13 C", "500 C", "outdoors 2",
              "outdoors 0", "outdoors twice"],
)  # fmt: skip
def test_what_is_no_climate_is_said_in_one_sentence(typed: str) -> None:
    with pytest.raises(NotUnderstood) as said:
        read(typed)
    assert str(said.value).startswith(f"“{typed}”")
    assert str(said.value).endswith(".")


def test_between_the_middles_of_two_months_the_days_lie_on_a_straight_line() -> None:
    cycle = cycle_of(YEAR)
    assert len(cycle) == CYCLE
    on = {text: cycle[day(text) % CYCLE] for text in
          ("2026-01-16", "2026-06-15", "2026-06-16", "2026-07-01", "2026-12-31")}  # fmt: skip
    assert on["2026-01-16"] == 2000  # 15 1/2 days gone by noon: the middle of January
    assert 14_950 < on["2026-06-15"] < 15_000 < on["2026-06-16"] < 15_050
    # 15 June's end to 16 July noon are 30 1/2 days; noon of 1 July is 15 1/2 of them on
    assert on["2026-07-01"] == round(15_000 + 2_000 * 15.5 / 30.5)
    # noon of 31 December: 15 days past the middle of December, of 31 to that of January
    assert on["2026-12-31"] == round(3_000 - 1_000 * 15 / 31)


def test_a_steady_store_is_the_same_every_day() -> None:
    assert set(cycle_of((7_000,) * 12)) == {7_000}
    assert Curve(cycle_of((7_000,) * 12), {}, {}).steady


def test_damping_keeps_the_mean_and_takes_its_share_of_the_swing() -> None:
    half = damped(cycle_of(YEAR), 9_500, Fraction(1, 2))
    assert half[day("2026-01-16") % CYCLE] == 9_500 + (2_000 - 9_500) // 2
    assert max(half) - 9_500 == (17_000 - 9_500) // 2


def test_the_days_of_a_month_in_four_years() -> None:
    assert sum(month_cycle((2,))) == 28 * 3 + 29
    assert sum(month_cycle((12, 1, 2))) == 4 * 62 + 28 * 3 + 29
    assert month_cycle((1,))[day("2026-01-31") % CYCLE] == 1
    assert month_cycle((1,))[day("2026-02-01") % CYCLE] == 0


def test_degrees_fahrenheit_are_rounded_once() -> None:
    assert milli_of(Fraction(41), "f") == 5_000
    assert milli_of(Fraction(33), "F") == 556


# -- corrected by readings ---------------------------------------------------------------------


def test_a_reading_counts_whole_on_its_day_and_half_a_week_away() -> None:
    curve = Curve(cycle_of((10_000,) * 12), {100: 12_800}, {})
    assert curve.on(100) == 12_800
    assert [curve.on(100 + away) for away in (7, -7, 13, 14, 30)] == [
        11_400, 11_400, 10_200, 10_000, 10_000,
    ]  # fmt: skip


def test_between_two_readings_each_counts_by_nearness() -> None:
    curve = Curve(cycle_of((10_000,) * 12), {100: 12_000, 110: 7_000}, {})
    # two above and three below: on the way from one to the other a straight line
    assert [curve.on(100 + n) for n in (0, 2, 5, 10)] == [12_000, 11_000, 9_500, 7_000]


def test_readings_far_apart_do_not_meet() -> None:
    curve = Curve(cycle_of((10_000,) * 12), {100: 12_000, 140: 7_000}, {})
    assert [curve.on(n) for n in (107, 114, 120, 126, 133)] == [
        11_000, 10_000, 10_000, 10_000, 8_500,
    ]  # fmt: skip


def test_where_nothing_was_stated_a_reading_stands_for_two_weeks() -> None:
    curve = Curve(None, {100: 12_000, 120: 8_000}, {})
    assert [curve.on(n) for n in (85, 86, 100, 104, 110, 116, 120, 134, 135)] == [
        None, 12_000, 12_000, 12_000, 10_000, 8_000, 8_000, 8_000, None,
    ]  # fmt: skip


def test_readings_of_one_day_are_averaged_half_to_even() -> None:
    noon = 100 * DAY + DAY // 2
    assert by_day([(noon, 10_001), (noon + 5, 10_002), (noon + DAY, 4)]) == {100: 10_002, 101: 4}


def test_days_in_a_row_are_those_asked_for_one_by_one() -> None:
    more = [3_000 * on for on in month_cycle((8,))]
    curve = Curve(cycle_of(YEAR), {100: 12_000, 120: 8_000}, {50: 900}).warmed(110, more)
    first = -400
    assert curve.days(first, 3000) == [curve.on(first + n) for n in range(3000)]
    empty = Curve(None, {}, {})
    assert not empty.known
    assert empty.days(0, 3) == [None] * 3


def test_where_nothing_was_stated_a_year_comes_again_as_it_was_read() -> None:
    winter, spring = day("2025-01-10"), day("2025-04-10")
    read = {winter: 2_000, spring: 9_000, day("2026-01-20"): 4_000}
    found = again(read)
    assert found.items() >= read.items()
    # the January that was read is not a copy; the one after it comes as the nearest before
    assert day("2026-01-10") not in found
    assert found[day("2027-01-20")] == 4_000
    assert day("2027-01-10") not in found
    assert [found[spring + CYCLE * years // 4] for years in (1, 2, 3)] == [9_000] * 3
    assert max(found) == day("2029-01-19")
    assert again({}) == {}


def test_what_was_mostly_read_is_no_mean_that_one_power_cut_moves() -> None:
    assert usual({1: -18_000, 2: -17_500, 3: 4_000}) == -17_500


# -- warmed by machines ------------------------------------------------------------------------


def test_a_machine_adds_its_degrees_by_the_share_of_the_day_that_it_ran() -> None:
    ends = 100 * DAY + 6 * 3_600_000
    # ten hours up to six in the morning: six of that day, four of the day before
    assert warmth_of([(ends, 600)], 5_000) == {100: 1_250, 99: 833}
    # never more than the whole day, whatever was said
    assert warmth_of([(ends, 600)] * 9, 5_000)[100] == 5_000


def test_a_run_of_all_time_is_heeded_for_a_year() -> None:
    assert len(warmth_of([(0, 2**53 - 1)], 5_000)) == 366


def test_a_reading_taken_while_it_ran_is_not_warmed_twice() -> None:
    cycle = cycle_of((10_000,) * 12)
    curve = Curve(cycle, {100: 14_000}, {100: 3_000, 101: 3_000, 107: 3_000})
    assert curve.on(100) == 14_000
    # one degree more than was expected with the machine, fading to nought in 14 days
    assert curve.on(107) == 10_000 + 3_000 + 500
    assert Curve(cycle, {}, {100: 3_000}).on(100) == 13_000


def test_what_is_supposed_comes_on_top_of_what_was_read() -> None:
    august, seen = day("2026-08-10"), day("2026-08-12")
    plain = Curve(cycle_of((10_000,) * 12), {seen: 16_000}, {})
    more = [4_000 * on for on in month_cycle((8,))]
    for at in range(seen - 30, seen + 60):
        was, would = plain.on(at), plain.warmed(august, more).on(at)
        hot = august <= at < day("2026-09-01")
        assert was is not None
        assert would == was + 4_000 * hot
    assert plain.warmed(august, more).on(seen) == 20_000


@given(
    st.dictionaries(st.integers(0, 200), st.integers(-30_000, 40_000), max_size=8),
    st.integers(-30, 230),
    st.integers(1, 5_000),
)
def test_a_warmer_reading_makes_no_day_colder(
    readings: dict[int, int], asked: int, more: int
) -> None:
    for cycle in (cycle_of(YEAR), None):
        before = Curve(cycle, readings, {})
        for at in readings:
            after = Curve(cycle, readings | {at: readings[at] + more}, {})
            old, new = before.on(asked), after.on(asked)
            assert (old is None) == (new is None)
            assert old is None or new is None or new >= old
            if abs(asked - at) > REACH:
                assert new == old
