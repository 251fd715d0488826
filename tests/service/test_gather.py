"""Pushes that arrive together: one append, each its own answer, nobody stopped by another."""

import asyncio
from collections.abc import AsyncIterator, Sequence

import pytest

from events import codec
from service import assemble
from service.clock import CountedIds, Fixed
from service.drafts import Receipt
from service.errors import DiskFull
from service.gather import Gather
from service.ledger import Ledger
from tests.serving import NOW, said


@pytest.fixture
async def ledger() -> AsyncIterator[Ledger]:
    made = await assemble.make_passing("Hollow Lane", "Europe/London", [], Fixed(NOW), CountedIds())
    async with made:
        yield made


class Watched:
    """A ledger's door that counts, and fails where it is told to."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.appends: list[int] = []
        self.fails: BaseException | None = None

    async def accept(self, contents: Sequence[bytes], sent_by: Sequence[str]) -> list[Receipt]:
        await asyncio.sleep(0)
        self.appends.append(len(contents))
        if self.fails is not None:
            raise self.fails
        return await self.ledger.accept(contents, sent_by)


def one(device: str, seq: int) -> bytes:
    return codec.encode(said(device, seq))


async def test_what_waits_goes_into_the_log_in_one_append(ledger: Ledger) -> None:
    door = Watched(ledger)
    gather = Gather(door)  # type: ignore[arg-type]
    devices = [f"phone{n}" for n in range(20)]
    answers = await asyncio.gather(
        *(gather.accept([one(device, 1), one(device, 2)], device) for device in devices)
    )
    assert door.appends == [40]
    for device, receipts in zip(devices, answers, strict=True):
        assert [(r.name, r.state) for r in receipts] == [(f"{device}:{n}", "new") for n in (1, 2)]
    page = await ledger.page(1, 100)
    assert [row.sent_by for row in page] == [device for device in devices for _ in range(2)]


async def test_what_comes_while_one_is_written_waits_for_the_next(ledger: Ledger) -> None:
    door = Watched(ledger)
    gather = Gather(door)  # type: ignore[arg-type]
    first = asyncio.create_task(gather.accept([one("cook", 1)], "cook"))
    for _ in range(5):
        await asyncio.sleep(0)
    assert door.appends == [1]
    rest = [asyncio.create_task(gather.accept([one("cook", n)], "cook")) for n in (2, 3, 4)]
    await asyncio.gather(first, *rest)
    assert door.appends == [1, 3]


async def test_an_append_is_bounded_and_a_long_push_is_whole(ledger: Ledger) -> None:
    door = Watched(ledger)
    gather = Gather(door, most=5)  # type: ignore[arg-type]
    pushes = [[one(f"p{p}", n) for n in range(1, 4)] for p in range(3)]
    long = [one("long", n) for n in range(1, 9)]
    await asyncio.gather(
        *(gather.accept(push, f"p{p}") for p, push in enumerate(pushes)),
        gather.accept(long, "long"),
    )
    assert door.appends == [3, 3, 3, 8]


async def test_whoever_stops_waiting_stops_nobody_else(ledger: Ledger) -> None:
    gather = Gather(ledger)
    gone = asyncio.create_task(gather.accept([one("gone", 1)], "gone"))
    stays = asyncio.create_task(gather.accept([one("stays", 1)], "stays"))
    await asyncio.sleep(0)
    gone.cancel()
    assert [r.state for r in await stays] == ["new"]
    with pytest.raises(asyncio.CancelledError):
        await gone
    assert ledger.book.entry("gone:1") is not None  # it was sent, and is in the log all the same
    assert [r.state for r in await gather.accept([one("gone", 1)], "gone")] == ["known"]


async def test_when_the_disk_fails_everybody_who_waited_is_told(ledger: Ledger) -> None:
    door = Watched(ledger)
    gather = Gather(door)  # type: ignore[arg-type]
    door.fails = DiskFull("There is no room left.")
    told = await asyncio.gather(
        *(gather.accept([one(d, 1)], d) for d in ("cook", "teen")), return_exceptions=True
    )
    assert [type(one) for one in told] == [DiskFull, DiskFull]
    assert told[0] is not told[1]
    door.fails = None
    assert [r.state for r in await gather.accept([one("cook", 1)], "cook")] == ["new"]


async def test_nothing_is_nothing(ledger: Ledger) -> None:
    assert await Gather(ledger).accept([], "cook") == []
