"""A start from a checkpoint, the digest and the order of use, over a short log and a long one.

Both households have 5,000 live lots; the longer log is ten times as long. The floor is the same
work over the short one: what is asked about now must not cost more for every year behind it. Making
the long log takes some minutes; run with `uv run pytest -m bench -s tests/bench/test_checkpoints.py`.
"""

import time
from pathlib import Path

import pytest
from msgspec.structs import replace

from events import codec, tables
from events.readings.rotation import use_first
from service import assemble
from service.clock import Fixed, RandomIds
from service.digests.compose import compose
from tests.bench import season

pytestmark = pytest.mark.bench
LIVE = 5_000
SHORT, LONG = 100_000, 1_000_000
BATCH = 2_000


async def household(home: Path, size: int) -> int:
    """A home with a log of that size; the moment of its last record."""
    log = season.log(size, live=LIVE)
    now = log[-1].stamp.ms
    made = await assemble.make_home(
        home, "hollow", "Europe/London", ["cook"], Fixed(now), RandomIds()
    )
    name = made.household.id
    await made.close()
    async with assemble.open_home(home, Fixed(now), writing=True) as ledger:
        for first in range(0, size, BATCH):
            batch = [codec.encode(replace(r, household=name)) for r in log[first : first + BATCH]]
            await ledger.accept(batch, "cook")
    return now


async def measured(home: Path, now: int) -> dict[str, float]:
    """Seconds of a start, a digest and an order of use, each the best of three starts."""
    best: dict[str, float] = {}
    known = tables.load()
    for _ in range(3):

        def took(what: str, since: float) -> None:
            best[what] = min(best.get(what, 1e9), time.perf_counter() - since)

        start = time.perf_counter()
        async with assemble.open_home(home, Fixed(now), writing=False) as ledger:
            took("start", start)
            assert ledger.book.past.whole is False, "it was folded from the whole log"
            assert len(ledger.book.lots) < 2 * LIVE
            start = time.perf_counter()
            use_first(ledger.book, known)
            took("order of use", start)
            start = time.perf_counter()
            compose(ledger.book, known, now, "Europe/London")
            took("digest", start)
    return best


async def test_nothing_grows_with_the_log(tmp_path: Path) -> None:
    found = {}
    for size in (SHORT, LONG):
        start = time.perf_counter()
        now = await household(tmp_path / str(size), size)
        print(f"\n{size:,} records put in {time.perf_counter() - start:.0f} s")
        found[size] = await measured(tmp_path / str(size), now)
    for what, short in found[SHORT].items():
        long = found[LONG][what]
        print(f"{what}: {short * 1000:.0f} ms over {SHORT:,} records, {long * 1000:.0f} ms over"
              f" {LONG:,}: {long / short:.2f} times")  # fmt: skip
        assert long < 4 * short
