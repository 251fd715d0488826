"""What was said of vessels is kept in order of its place, whatever the order of arrival."""

from itertools import permutations

from events.kinds import Stamp, StoreSet, VesselsChanged
from events.projections.vessels import Change, Vessels, empty
from events.record import Record


def said(change: Change, count: int, minute: int, vessel: str = "quart jar") -> Record:
    return Record(household="hollow", device="hall", seq=minute, stamp=Stamp(minute * 60_000), at="2026-08-01",
                  offset=0, body=VesselsChanged(vessel=vessel, count=count, change=change))  # fmt: skip


def folded(*records: Record) -> Vessels:
    vessels = empty()
    for record in records:
        vessels.fold(record, record.stamp.ms, (record.stamp.ms, record.device, record.seq))
    return vessels


def test_lines_stand_by_place_in_any_order_and_once() -> None:
    records = [
        said("bought", 24, 1),
        said("broken", 3, 2),
        said("counted", 19, 3),
        said("broken", 1, 4),
    ]
    for order in permutations(records):
        vessels = folded(*order, order[0], order[-1])
        assert vessels == folded(*records)
        lines = [(line.change, line.number) for line in vessels.lines["quart jar"]]
        assert lines == [("bought", 24), ("broken", 3), ("counted", 19), ("broken", 1)]


def test_each_vessel_has_lines_of_its_own() -> None:
    vessels = folded(said("bought", 24, 1), said("bought", 12, 2, "pint jar"))
    assert [line.number for line in vessels.lines["pint jar"]] == [12]


def test_other_kinds_are_passed_over() -> None:
    vessels = empty()
    record = Record(household="hollow", device="hall", seq=1, stamp=Stamp(1), at="2026-08-01", offset=0,
                    body=StoreSet(store="barn", facts={}))  # fmt: skip
    vessels.fold(record, 1, (1, "hall", 1))
    assert vessels == empty()
