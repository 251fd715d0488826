"""Append, against raw sqlite3 doing the same inserts into the same table in the same run.

Aims: one by one within 2.5 times, in hundreds within 1.5 times. The two take turns, so that a busy
machine is busy for both; the figures are medians of the turns. The whole ledger (looked at,
stamped, folded into the book) is reported beside, without an aim.
"""

import asyncio
import sqlite3
import statistics
import time
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from events import codec
from events.kinds import GRAIN, Amount, Consumed, Received, Stamp
from events.record import Record
from service import assemble
from service.clock import CountedIds, Fixed
from service.storage.sqlite import INSERT, open_writing
from service.storage.sqlite_file import schema
from service.storage.store import Item

pytestmark = pytest.mark.bench

NOW = 1_790_000_000_000
TURNS = 7
Appending = Callable[[list[Item]], Awaitable[None]]


def record(seq: int) -> Record:
    amount = Amount(unit="jar", n=GRAIN, said="1 jar")
    body = Consumed(lot="cook:1:0", amount=amount, store="back-room/shelf-2")
    if seq == 1:
        stock = Amount(unit="jar", n=10**6 * GRAIN)
        body_or_stock: Consumed | Received = Received(food="green beans", amount=stock)
    else:
        body_or_stock = body
    return Record(
        household="household01",
        device="cook",
        seq=seq,
        stamp=Stamp(NOW + seq),
        at="2026-09-21T15:13:20+01:00",
        offset=60,
        typed="15:13:20",
        by="cook",
        body=body_or_stock,
    )


def contents(first: int, count: int) -> list[bytes]:
    return [codec.encode(record(seq)) for seq in range(first, first + count)]


def raw_database(path: Path) -> sqlite3.Connection:
    raw = sqlite3.connect(path, isolation_level=None)
    raw.execute("PRAGMA journal_mode = WAL")
    raw.execute("PRAGMA synchronous = FULL")
    raw.executescript(schema()[0])
    raw.execute("INSERT INTO devices (name) VALUES ('cook')")
    return raw


def append_raw(raw: sqlite3.Connection, items: list[Item], first: int) -> None:
    raw.execute("BEGIN IMMEDIATE")
    raw.executemany(
        INSERT, [(first + n, 1, item.seq, NOW, 1, item.content) for n, item in enumerate(items)]
    )
    raw.execute("COMMIT")


@pytest.mark.parametrize(("size", "appends", "aim"), [(1, 300, 2.5), (100, 60, 1.5)])
async def test_append_against_raw_sqlite(
    tmp_path: Path, size: int, appends: int, aim: float, capsys: pytest.CaptureFixture[str]
) -> None:
    raw = raw_database(tmp_path / "raw.db")
    store = await open_writing(tmp_path / "log.db", create=True)
    ratios, ours, theirs = [], [], []
    seq = 1
    for _ in range(TURNS):
        said = contents(seq, size * appends)
        items = [Item("cook", seq + n, content, "cook") for n, content in enumerate(said)]
        batches = [items[n : n + size] for n in range(0, len(items), size)]
        begun = time.perf_counter()
        for batch in batches:
            append_raw(raw, batch, batch[0].seq)
        between = time.perf_counter()
        for batch in batches:
            await store.append(batch, NOW)
        ended = time.perf_counter()
        theirs.append((between - begun) / len(items))
        ours.append((ended - between) / len(items))
        ratios.append(ours[-1] / theirs[-1])
        seq += len(items)
    await store.close()
    raw.close()
    ratio = statistics.median(ratios)
    with capsys.disabled():
        print(
            f"\nappend by {size}: {1 / statistics.median(ours):,.0f} records/s,"
            f" raw sqlite3 {1 / statistics.median(theirs):,.0f}: {ratio:.2f} times"
            f" ({min(ratios):.2f} to {max(ratios):.2f}), aim {aim}"
        )
    assert ratio <= aim


async def test_the_whole_ledger(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Accept in hundreds, then load: reported only."""
    clock = Fixed(NOW + 10_000_000)
    ledger = await assemble.make_home(
        tmp_path, "Hollow Lane", "Europe/London", [], clock, CountedIds()
    )
    said = contents(1, 5000)
    begun = time.perf_counter()
    for n in range(0, len(said), 100):
        await ledger.accept(said[n : n + 100], "cook")
    accepted = time.perf_counter() - begun
    await ledger.close()
    begun = time.perf_counter()
    async with assemble.open_home(tmp_path, clock, writing=False) as again:
        loaded = time.perf_counter() - begun
        assert len(again.entries) == len(said) + 1
    with capsys.disabled():
        print(
            f"\nledger: accept in hundreds {len(said) / accepted:,.0f} records/s,"
            f" open and load {len(said) / loaded:,.0f} records/s"
        )
    await asyncio.sleep(0)
