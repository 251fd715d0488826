"""How fast the book comes out of the log, against floors measured in the same run.

The floor is what any fold in Python pays: read the rows, decode them, look a handler up by type
and add to a number in a dict. Figures are printed, each beside its floor; run with
`uv run pytest -m bench -s tests/bench/test_fold.py`.
"""

import gc
import sqlite3
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pytest

from events.book import Book
from events.codec import decode, encode
from events.kinds import Consumed
from events.lots.household import Lots
from events.record import Entry, Record
from tests.bench import season

pytestmark = pytest.mark.bench
SIZE = 50_000


def seconds(work: Callable[[], object], runs: int = 3) -> float:
    """Median processor time, the garbage collector off as in a replay."""
    taken = []
    for _ in range(runs):
        gc.collect()
        gc.disable()
        start = time.process_time()
        kept = work()
        taken.append(time.process_time() - start)
        gc.enable()
        del kept
    return median(taken)


@pytest.fixture(scope="module")
def log_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("bench") / "log.db"
    base = sqlite3.connect(path)
    base.execute("create table entries (position integer primary key, content blob not null)")
    rows = [(i, encode(record)) for i, record in enumerate(season.log(SIZE), 1)]
    base.executemany("insert into entries values (?, ?)", rows)
    base.commit()
    base.close()
    return path


def records(path: Path) -> list[Record]:
    base = sqlite3.connect(path)
    found = []
    for (content,) in base.execute("select content from entries order by position"):
        record = decode(content)
        assert isinstance(record, Record)
        found.append(record)
    base.close()
    return found


def floor(path: Path) -> dict[str, int]:
    """Decode, dispatch, add: no lots, no stores, no order."""
    sums: dict[str, int] = {}

    def eaten(record: Record) -> None:
        body = record.body
        if isinstance(body, Consumed):
            sums[body.lot] = sums.get(body.lot, 0) + (body.amount.n or 0)

    handlers: dict[type, Callable[[Record], None]] = {Consumed: eaten}

    def passed(record: Record) -> None:
        sums[record.device] = sums.get(record.device, 0) + 1

    for record in records(path):
        handlers.get(type(record.body), passed)(record)
    return sums


def entries(path: Path) -> list[Entry]:
    return [
        Entry(position=i, received=r.stamp.ms, sent_by=r.device, record=r)
        for i, r in enumerate(records(path), 1)
    ]


def told(name: str, taken: float, beside: float) -> None:
    print(f"\n{name}: {SIZE / taken:,.0f} records a second, {taken / beside:.1f} times the floor")


def test_lots_and_book_from_disk(log_file: Path) -> None:
    base = seconds(lambda: floor(log_file))
    told("floor: read, decode, dispatch", base, base)

    def fold_lots() -> Lots:
        lots = Lots()
        lots.add(records(log_file))
        return lots

    def fold_book() -> Book:
        book = Book()
        book.add(entries(log_file))
        return book

    lots = seconds(fold_lots)
    told("lots from disk", lots, base)
    book = seconds(fold_book)
    told("whole book from disk", book, base)
    assert lots < 60 * base


def test_memory_of_a_live_lot() -> None:
    log = season.log(20_000, live=5_000)
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    lots = Lots()
    lots.add(log)
    grown = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    live = sum(1 for lot in lots.lots.values() if lot.parcels)
    print(f"\n{len(log):,} records, {live:,} live lots: {grown / live / 1024:.1f} KiB a live lot")
    assert live > 1_000


def test_one_late_record(log_file: Path) -> None:
    """A late record folds its own lot anew: against one that comes in order on the same lot."""
    log = entries(log_file)[:20_000]
    held_back = [entry for entry in log[1_000::400] if isinstance(entry.record.body, Consumed)]
    names = {entry.record.name for entry in held_back}
    book = Book()
    book.add(entry for entry in log if entry.record.name not in names)
    late, in_order = [], []
    for entry in held_back:
        start = time.perf_counter()
        book.add([entry])
        late.append(time.perf_counter() - start)
    for entry in entries(log_file)[20_000:20_400]:
        start = time.perf_counter()
        book.add([entry])
        in_order.append(time.perf_counter() - start)
    ratio = median(late) / median(in_order)
    print(f"\none late record costs {ratio:.1f} times one in order ({len(late)} late ones)")
    assert len(late) > 10
