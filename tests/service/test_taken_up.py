"""A household's file, closed and opened at any moments, tells what its whole log folded anew tells."""

import asyncio
import shutil
import tempfile
from pathlib import Path
from random import Random

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from events import codec
from events.book import Book
from events.record import Entry, Record
from service import assemble, checkpoints
from service.clock import CountedIds, Fixed
from tests.conftest import EXAMPLES
from tests.histories import RECEIVED_MS, records


async def live(home: Path, told: list[Record], chance: Random) -> None:
    """Hear the records in batches, closing the file now and then; compare after every batch."""
    clock = Fixed(RECEIVED_MS)
    made = await assemble.make_home(home, "Hollow Lane", "Europe/London", [], clock, CountedIds())
    name = made.household.id
    await made.close()
    heard = [codec.encode(replace(record, household=name)) for record in told]
    known = 0
    while known < len(heard):
        async with assemble.open_home(home, clock, writing=True) as ledger:
            taken = ledger.book.past.whole is False and ledger.book.size > 0
            event(f"taken up: {taken}")
            while known < len(heard):
                batch = heard[known : known + chance.randrange(1, 6)]
                known += len(batch)
                await ledger.accept(batch, "cook")
                if chance.random() < 0.3:
                    await ledger.put_by()
                if chance.random() < 0.4:
                    break
            same(ledger.book, ledger.entries)
    async with assemble.open_home(home, clock, writing=False) as ledger:
        same(ledger.book, ledger.entries)


def same(book: Book, entries: list[Entry]) -> None:
    whole = Book()
    whole.add(entries)
    assert book.size == whole.size
    assert book.concerns() == whole.concerns()
    assert book.state_hash() == whole.state_hash()


@pytest.fixture(autouse=True)
def every_close_puts_by(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checkpoints, "FEW", 1)


@given(records(), st.randoms(use_true_random=False), st.booleans())
@settings(max_examples=max(25, EXAMPLES // 10))
def test_a_file_taken_up_tells_what_its_log_tells(
    told: list[Record], chance: Random, shuffled: bool
) -> None:
    if shuffled:
        chance.shuffle(told)
    home = Path(tempfile.mkdtemp())
    try:
        asyncio.run(live(home / "a", told, chance))
    finally:
        shutil.rmtree(home)
