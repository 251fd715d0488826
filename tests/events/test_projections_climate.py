"""Readings and runs, in their places whatever the order of arrival."""

from itertools import permutations

from events.kinds import Body, Measured, Ran, Stamp, StoreSet
from events.projections.climate import Climate, empty
from events.record import Record


def said(body: Body, minute: int, seq: int) -> Record:
    return Record(household="hollow", device="hall", seq=seq, stamp=Stamp(minute * 60_000), at="2026-08-01",
                  offset=0, body=body)  # fmt: skip


def folded(*records: Record) -> Climate:
    climate = empty()
    for record in records:
        climate.fold(record, record.stamp.ms, (record.stamp.ms, record.device, record.seq))
    return climate


RECORDS = [
    said(Measured(store="cellar", celsius_milli=9000, humidity_permille=850), 10, 1),
    said(Measured(store="cellar", celsius_milli=11_500), 20, 2),
    said(Measured(store="cellar", humidity_permille=700), 20, 3),
    said(Measured(store="porch", celsius_milli=-2000), 15, 4),
    said(Ran(machine="drier", minutes=90), 30, 5),
    said(Ran(machine="drier"), 40, 6),
    said(StoreSet(store="cellar", facts={}), 50, 7),
]


def test_what_was_read_where() -> None:
    climate = folded(*RECORDS)
    cellar = [(r.celsius_milli, r.humidity_permille) for r in climate.readings["cellar"]]
    assert cellar == [(9000, 850), (11_500, None), (None, 700)]
    assert [r.celsius_milli for r in climate.readings["porch"]] == [-2000]
    assert set(climate.readings) == {"cellar", "porch"}


def test_between_takes_both_ends() -> None:
    climate = folded(*RECORDS)
    assert len(climate.between("cellar", 10 * 60_000, 20 * 60_000)) == 3
    assert len(climate.between("cellar", 10 * 60_000 + 1, 20 * 60_000)) == 2
    assert len(climate.between("cellar", 10 * 60_000, 20 * 60_000 - 1)) == 1
    assert climate.between("attic", 0, 10**9) == []


def test_minutes_that_are_known() -> None:
    climate = folded(*RECORDS)
    assert climate.ran_minutes("drier", 0, 60 * 60_000) == 90
    assert climate.ran_minutes("drier", 31 * 60_000, 60 * 60_000) == 0
    assert [run.minutes for run in climate.runs["drier"]] == [90, None]


def test_the_order_of_arrival_does_not_matter_and_repeats_are_harmless() -> None:
    for order in permutations(RECORDS[:5]):
        assert folded(*order, *order) == folded(*RECORDS[:5])
