"""Vessels at hand: a count sets at its place, whatever the order of arrival."""

from itertools import permutations
from typing import Literal

from events.kinds import Stamp, StoreSet, VesselsChanged
from events.projections.vessels import AtHand, Vessels, empty
from events.record import Record

Change = Literal["bought", "broken", "counted", "lent", "back"]


def said(change: Change, count: int, minute: int, vessel: str = "quart jar") -> Record:
    return Record(household="hollow", device="hall", seq=minute, stamp=Stamp(minute * 60_000), at="2026-08-01",
                  offset=0, body=VesselsChanged(vessel=vessel, count=count, change=change))  # fmt: skip


def folded(*records: Record) -> Vessels:
    vessels = empty()
    for record in records:
        vessels.fold(record, record.stamp.ms, (record.stamp.ms, record.device, record.seq))
    return vessels


def test_bought_broken_lent_and_back() -> None:
    vessels = folded(said("bought", 24, 1), said("broken", 2, 2), said("lent", 7, 3),
                     said("back", 5, 4), said("bought", 12, 5, "pint jar"))  # fmt: skip
    assert vessels.at_hand("quart jar") == AtHand(20, 0, 2)
    assert vessels.at_hand("pint jar") == AtHand(12, 0, 0)
    assert vessels.at_hand("crock") == AtHand(0, 0, 0)


def test_a_count_sets_at_its_place_in_any_order_and_with_repeats() -> None:
    records = [
        said("bought", 24, 1),
        said("broken", 3, 2),
        said("counted", 19, 3),
        said("broken", 1, 4),
    ]
    for order in permutations(records):
        vessels = folded(*order, order[0], order[-1])
        assert vessels == folded(*records)
        assert vessels.at_hand("quart jar") == AtHand(18, 0, 0)
        assert vessels.at_hand("quart jar", until=2 * 60_000) == AtHand(21, 0, 0)


def test_never_below_nought_and_what_is_short_is_said_until_a_count() -> None:
    vessels = folded(said("bought", 6, 1), said("lent", 9, 2), said("bought", 4, 3))
    assert vessels.at_hand("quart jar") == AtHand(4, 3, 9)
    vessels = folded(said("bought", 6, 1), said("lent", 9, 2), said("counted", 4, 3))
    assert vessels.at_hand("quart jar") == AtHand(4, 0, 9)


def test_more_back_than_lent_is_believed() -> None:
    assert folded(said("lent", 2, 1), said("back", 3, 2)).at_hand("quart jar") == AtHand(3, 2, 0)


def test_other_kinds_are_passed_over() -> None:
    vessels = empty()
    record = Record(household="hollow", device="hall", seq=1, stamp=Stamp(1), at="2026-08-01", offset=0,
                    body=StoreSet(store="barn", facts={}))  # fmt: skip
    vessels.fold(record, 1, (1, "hall", 1))
    assert vessels == empty()
