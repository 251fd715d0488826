"""The hybrid logical clock against the published trace.

Source: Kulkarni, Demirbas, Madappa, Avva, Leone, "Logical physical clocks", University at Buffalo
report 2014-04, figure 6. The report itself was not at hand: the trace was read as libraries' tests
carry it, and the rules as a database project's design ticket (IGNITE-16893) states them.
"""

from hypothesis import given
from hypothesis import strategies as st

from events.kinds import Stamp
from events.stamp import ZERO, receive, tick


def test_the_trace_of_figure_6() -> None:
    p0 = tick(ZERO, 10)
    assert p0 == Stamp(10, 0)
    p1 = receive(ZERO, p0, 1)
    assert p1 == Stamp(10, 1)
    p1 = tick(p1, 2)
    assert p1 == Stamp(10, 2)
    p2 = receive(ZERO, p1, 2)
    assert p2 == Stamp(10, 3)
    p2 = tick(p2, 3)
    assert p2 == Stamp(10, 4)


def test_a_clock_set_back_keeps_its_time_and_counts_on() -> None:
    first = tick(ZERO, 10)
    assert tick(first, 9) == Stamp(10, first.counter + 1)


def test_a_clock_that_went_forward_starts_counting_anew() -> None:
    assert tick(Stamp(10, 0), 12) == Stamp(12, 0)
    assert receive(Stamp(10, 0), Stamp(0, 0), 12) == Stamp(12, 0)


def test_the_four_cases_of_receiving() -> None:
    assert receive(Stamp(10, 2), Stamp(10, 5), 3) == Stamp(10, 6), "both the same time"
    assert receive(Stamp(10, 5), Stamp(10, 2), 3) == Stamp(10, 6), "both the same time"
    assert receive(Stamp(10, 2), Stamp(7, 9), 10) == Stamp(10, 3), "own time is newest"
    assert receive(Stamp(7, 9), Stamp(10, 2), 10) == Stamp(10, 3), "the time heard is newest"
    assert receive(Stamp(7, 9), Stamp(8, 9), 10) == Stamp(10, 0), "the clock is newest"


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(0, 40)), max_size=60))
def test_the_published_bounds_hold(steps: list[tuple[int, int, int]]) -> None:
    """A time is never before its own clock, nor past the newest clock that anyone had read;
    and the counter is at most the number of earlier events."""
    clocks = [ZERO] * 4
    newest = 0
    for number, (device, heard, now) in enumerate(steps):
        newest = max(newest, now)
        before = (clocks[device], clocks[heard])
        if device == heard:
            clocks[device] = tick(clocks[device], now)
        else:
            clocks[device] = receive(clocks[device], clocks[heard], now)
        after = clocks[device]
        assert after > before[0]
        assert after > before[1] or before[1] == ZERO
        assert now <= after.ms <= newest
        assert after.counter <= number + 1
