"""The order of use over 5,000 live lots with ten years of daily climate, against a bare loop.

The floor reads every parcel and its path and adds numbers up. The aim, 50 ms and ten times the
floor, is not met: a look of its own makes every curve anew, and a lot takes some twenty
microseconds with them there. Both are printed, and neither may come to twice what it was.
"""

import gc
import random
import time
from collections.abc import Callable
from statistics import median

import pytest

from events.book import Book
from events.kinds import GRAIN as WHOLE
from events.kinds import Amount, Body, Measured, Moved, Received, Stamp, StoreSet
from events.readings.lived import Keeping
from events.readings.rotation import Use, ordered, use_first
from events.record import Entry, Record
from events.tables import load

pytestmark = pytest.mark.bench
DAY = 86_400_000
END = 1_790_000_000_000
YEARS = 10
LOTS = 5_000
STORES = ("cellar", "barn", "kitchen", "back-room", "pantry", "porch")
FOODS = (
    ("potatoes", None), ("carrots", None), ("onions", None), ("garlic", None), ("apples", None),
    ("butternut squash", None), ("green beans", "home-canned"), ("tomatoes", "home-canned"),
    ("apples", "dried"), ("white flour", None), ("pasta", None), ("plum jam", "jam"),
    ("honey", None), ("dry milk", None), ("cabbage", None), ("dried beans", None),
)  # fmt: skip


def told() -> list[Record]:
    """Ten years of a thermometer in each store, and lots of the last two years, half carried once."""
    rng = random.Random(7)
    bodies: list[tuple[int, Body]] = [(END - YEARS * 366 * DAY, StoreSet(
        store=store, facts={"kind": "room", "climate": "2 3 6 9 12 15 18 18 14 10 6 3 C"})
    ) for store in STORES]  # fmt: skip
    for day in range(YEARS * 365):
        at = END - (YEARS * 365 - day) * DAY
        bodies += [(at, Measured(store=store, celsius_milli=rng.randrange(-2_000, 24_000)))
                   for store in STORES]  # fmt: skip
    for _ in range(LOTS):
        food, form = rng.choice(FOODS)
        at = END - rng.randrange(1, 700) * DAY
        store, amount = rng.choice(STORES), Amount(unit="lb", n=20 * WHOLE)
        bodies.append((at, Received(food=food, form=form, amount=amount, store=store)))
    bodies.sort(key=lambda one: one[0])
    records = [_record(seq, at, body) for seq, (at, body) in enumerate(bodies, 1)]
    lots = [record for record in records if isinstance(record.body, Received)]
    for made in lots[::2]:
        seq, body = len(records) + 1, made.body
        assert isinstance(body, Received)
        at = min(END, made.stamp.ms + rng.randrange(1, 60) * DAY)
        moved = Moved(lot=f"{made.name}:0", amount=body.amount, store=body.store,
                      to=rng.choice(STORES))  # fmt: skip
        if moved.to != body.store:
            records.append(_record(seq, at, moved))
    return records


def _record(seq: int, at: int, body: Body) -> Record:
    from datetime import UTC, datetime

    said = datetime.fromtimestamp(at / 1000, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return Record(household="hollow", device="hall", seq=seq, stamp=Stamp(at), at=said, offset=0,
                  body=body)  # fmt: skip


def floor(book: Book) -> int:
    total = 0
    for lot in book.lots.values():
        for parcel in lot.parcels:
            link = parcel.lived
            while link is not None:
                total += link.since
                link = link.before  # type: ignore[assignment]
            total += parcel.n
    return total


def milliseconds(work: Callable[[], object], runs: int = 7) -> float:
    """Median processor time, the garbage collector off."""
    taken = []
    gc.disable()
    for _ in range(runs):
        start = time.process_time()
        kept = work()
        taken.append((time.process_time() - start) * 1000)
        del kept
    gc.enable()
    return median(taken)


def test_the_order_of_use_over_five_thousand_lots() -> None:
    book, tables = Book(), load()
    book.add(
        Entry(position=i, received=r.stamp.ms, sent_by=r.device, record=r)
        for i, r in enumerate(told(), 1)
    )
    live = sum(1 for lot in book.lots.values() if lot.parcels)
    base = milliseconds(lambda: floor(book))
    kept: list[Keeping] = []

    def cold() -> list[Use]:
        kept.append(Keeping(book, tables))
        return ordered(kept[-1])

    anew = milliseconds(cold, 3)
    keeping = kept[-1]
    there = milliseconds(lambda: ordered(keeping))
    uses = ordered(keeping)
    assert uses == use_first(book, tables)
    dated = sum(1 for use in uses if use.from_ms is not None)
    curves = len(keeping.climates.curves)
    print(
        f"\n{live} live lots, {dated} dated, {curves} curves; loop over the parcels {base:.1f} ms"
    )
    for what, taken in (("all anew, with the curves", anew), ("the curves there", there)):
        print(f"{what}: {taken:.0f} ms, {taken / base:.0f} times it (aims 50 ms, 10 times)")
    assert live == LOTS
    assert dated > 0.9 * LOTS
    assert anew < 600 * base
    assert there < 320 * base
