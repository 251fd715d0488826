"""The hybrid logical clock: stamps rise, wild ones are told, the order is total."""

from hypothesis import given
from hypothesis import strategies as st

from events import stamp
from events.kinds import Stamp, StoreSet
from events.record import Record

stamps = st.builds(Stamp, st.integers(0, 2**48 - 2), st.integers(0, 2**16 - 1))
clocks = st.integers(-(10**12), 2**48 - 2)


def record(at: Stamp, device: str, seq: int) -> Record:
    return Record(
        household="h",
        device=device,
        seq=seq,
        stamp=at,
        at="2026",
        offset=0,
        body=StoreSet(store="barn", facts={}),
    )


@given(stamps, clocks)
def test_the_next_stamp_is_later_than_the_last_and_not_before_the_clock(
    last: Stamp, now: int
) -> None:
    after = stamp.tick(last, now)
    assert after > last
    assert after.ms >= now


@given(stamps, stamps, clocks)
def test_what_follows_a_stamp_heard_is_later_than_both(last: Stamp, heard: Stamp, now: int) -> None:
    after = stamp.receive(last, heard, now)
    assert after > last
    assert after > heard
    assert after.ms >= now


@given(stamps, stamps)
def test_one_number_orders_as_stamps_do(one: Stamp, other: Stamp) -> None:
    assert (stamp.key(one) < stamp.key(other)) == (one < other)


def test_a_clock_set_back_does_not_take_the_stamp_back() -> None:
    last = stamp.tick(stamp.ZERO, 1_000_000)
    later = stamp.tick(last, 5)
    assert later == Stamp(1_000_000, 1)


def test_a_full_counter_runs_over_into_the_milliseconds() -> None:
    assert stamp.tick(Stamp(7, 2**16 - 1), 7) == Stamp(8, 0)


def test_a_clock_before_1970_still_rises() -> None:
    assert stamp.tick(stamp.ZERO, -5) == Stamp(0, 1)


def test_ten_minutes_ahead_is_let_be_and_more_is_wild() -> None:
    now = 1_790_000_000_000
    assert not stamp.wild(Stamp(now + 600_000, 9), now)
    assert stamp.wild(Stamp(now + 600_001), now)
    assert not stamp.wild(Stamp(0), now)


def test_the_same_stamp_from_two_devices_is_ordered_by_device_then_by_its_counter() -> None:
    at = Stamp(5, 1)
    records = [
        record(at, "b", 1),
        record(at, "a", 10),
        record(at, "a", 9),
        record(Stamp(5), "z", 1),
    ]
    names = [r.name for r in sorted(records, key=stamp.order)]
    assert names == ["z:1", "a:9", "a:10", "b:1"]
