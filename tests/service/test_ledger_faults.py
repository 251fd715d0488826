"""A disk that fails at every step in turn: whoever was told "written" finds it there, once."""

from collections.abc import Mapping, Sequence
from typing import Literal

import pytest

from events import codec
from events.book import Book
from events.kinds import GRAIN, Amount, Received, Stamp
from events.record import Record
from service.clock import Fixed
from service.drafts import Draft, Household
from service.errors import DiskFull, GirnelError, StoreError, TornFile
from service.ledger import Ledger
from service.storage.memory import MemoryStore
from service.storage.store import Aside, Heard, Item, Outcome, Row, Store

NOW = 1_790_000_000_000
HOUSEHOLD = Household(id="h", name="Hollow Lane", timezone="Europe/London", device="console")


class FailingStore:
    """A store that fails at its `at`-th call, before the disk did its part or after."""

    def __init__(self, store: Store, at: int, when: Literal["before", "after"]) -> None:
        self.store = store
        self.at = at
        self.when = when
        self.calls = 0

    def _turn(self, when: str) -> None:
        if when == "before":
            self.calls += 1
        if self.calls == self.at and when == self.when:
            raise DiskFull("The disk is full: nothing was written.")

    async def append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        self._turn("before")
        done = await self.store.append(items, received, meta)
        self._turn("after")
        return done

    async def page(self, after: int, limit: int) -> list[Row]:
        self._turn("before")
        done = await self.store.page(after, limit)
        self._turn("after")
        return done

    async def asides(self) -> list[Aside]:
        self._turn("before")
        done = await self.store.asides()
        self._turn("after")
        return done

    async def meta(self) -> dict[str, str]:
        return await self.store.meta()

    async def devices(self) -> dict[str, Heard]:
        return await self.store.devices()

    async def close(self) -> None:
        await self.store.close()


def oats(seq: int, kilos: int = 1, ms: int = NOW) -> bytes:
    return codec.encode(
        Record(
            household="h",
            device="phone",
            seq=seq,
            stamp=Stamp(ms, seq),
            at="2026-09-01",
            typed="1 Sept",
            offset=60,
            body=Received(food="oats", amount=Amount(unit="kg", n=kilos * GRAIN)),
        )
    )


def draft(note: str) -> Draft:
    return Draft(body=Received(food="oats", amount=Amount(unit="kg", n=GRAIN)), note=note)


async def a_day(ledger: Ledger) -> tuple[list[str], list[str]]:
    """A day's work; each step is said again until it is done. What was acknowledged, in names,
    and the notes of what was written here."""
    acknowledged: list[str] = []
    notes: list[str] = []

    async def push(*contents: bytes) -> None:
        for _ in range(3):
            try:
                receipts = await ledger.accept(contents, "phone")
            except GirnelError:
                continue
            assert all(r.state != "refused" for r in receipts)
            acknowledged.extend(r.name for r in receipts)
            return
        pytest.fail("three times")

    async def write(*said: str) -> None:
        try:
            entries = await ledger.write([draft(note) for note in said])
        except GirnelError:
            return
        acknowledged.extend(entry.record.name for entry in entries)
        notes.extend(said)

    await write("one")
    await push(oats(1), oats(2))
    await write("two", "three")
    await push(oats(2), oats(3, ms=NOW + 10**11), oats(1, kilos=7))
    await write("four")
    await push(oats(4))
    return acknowledged, notes


async def steps() -> int:
    store = FailingStore(MemoryStore(), 0, "before")
    ledger = Ledger(store, Book(), Fixed(NOW), HOUSEHOLD)
    await ledger.load()
    await a_day(ledger)
    return store.calls


async def test_the_day_without_a_failure() -> None:
    ledger = Ledger(MemoryStore(), Book(), Fixed(NOW), HOUSEHOLD)
    await ledger.load()
    acknowledged, notes = await a_day(ledger)
    assert notes == ["one", "two", "three", "four"]
    assert len(ledger.entries) == 4 + 4 + 1, "written, sent, and one redated"
    assert len(ledger.set_aside) == 1
    assert set(acknowledged) == {e.record.name for e in ledger.entries} - {"console:4"}


@pytest.mark.parametrize("when", ["before", "after"])
async def test_a_failure_at_every_step(when: Literal["before", "after"]) -> None:
    last = await steps()
    assert last == 2 + 6, "reading twice, then six appends"
    for at in range(1, last + 1):
        disk = MemoryStore()
        store = FailingStore(disk, at, when)
        ledger = Ledger(store, Book(), Fixed(NOW), HOUSEHOLD)
        try:
            await ledger.load()
        except GirnelError:
            await ledger.load()
        acknowledged, notes = await a_day(ledger)

        again = Ledger(disk, Book(), Fixed(NOW), HOUSEHOLD)
        await again.load()
        names = [entry.record.name for entry in again.entries]
        assert set(acknowledged) <= set(names), at
        assert len(names) == len(set(names)), at
        own = [e.record.seq for e in again.entries if e.record.device == "console"]
        assert own == list(range(1, len(own) + 1)), at
        written = [e.record.note for e in again.entries if e.record.note]
        assert [note for note in written if note in notes] == notes, at
        if when == "before":
            assert written == notes, "what was said to have failed is not there"
        assert [e.record.seq for e in again.entries if e.record.device == "phone"] == [1, 2, 3, 4]
        assert len(again.set_aside) == 1, at
        assert again.book.state_hash() == ledger.book.state_hash(), at
        assert again.set_aside == ledger.set_aside, at
        assert again.next_seq == ledger.next_seq, at
        redatings = [e for e in again.entries if e.record.body.__class__.__name__ == "Redated"]
        assert len(redatings) == 1, at


@pytest.fixture
async def gapped() -> MemoryStore:
    store = MemoryStore()
    await store.append([Item("phone", 1, oats(1), "phone"), Item("phone", 2, oats(2), "phone")], 0)
    del store._rows[0]
    return store


async def test_a_log_with_a_hole_is_said_to_be_damaged(gapped: MemoryStore) -> None:
    ledger = Ledger(gapped, Book(), Fixed(NOW), HOUSEHOLD)
    with pytest.raises(TornFile, match="Entry 1 of the log is missing"):
        await ledger.load()
    assert issubclass(TornFile, StoreError)
    assert ledger.entries == []
