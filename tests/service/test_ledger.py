"""The one door: what people write here, what other devices send, and what becomes of it."""

import asyncio
from collections.abc import AsyncIterator, Mapping, Sequence

import msgspec
import pytest

from events import codec
from events.book import Book
from events.kinds import (
    GRAIN,
    Amount,
    Body,
    Consumed,
    MemberSet,
    Received,
    Stamp,
    StoreSet,
)
from events.record import Record, Unread
from service import assemble
from service.clock import CountedIds, Fixed
from service.drafts import Draft, Household, Receipt
from service.errors import WrongUse
from service.ledger import Ledger
from service.storage.memory import MemoryStore
from service.storage.store import Item, Outcome

NOW = 1_790_000_000_000
"""2026-09-21 14:13:20 UTC, a quarter past three in the afternoon in London"""


@pytest.fixture
def clock() -> Fixed:
    return Fixed(NOW)


@pytest.fixture
async def ledger(clock: Fixed) -> AsyncIterator[Ledger]:
    made = await assemble.make_passing("Hollow Lane", "Europe/London", [], clock, CountedIds())
    async with made:
        yield made


def beans(jars: int = 12) -> Received:
    amount = Amount(unit="jar", n=jars * GRAIN)
    return Received(food="green beans", form="home-canned", amount=amount, store="barn")


def sent(seq: int, body: Body | None = None, device: str = "cook", ms: int = NOW) -> Record:
    return Record(
        household="household01",
        device=device,
        seq=seq,
        stamp=Stamp(ms, seq),
        at="2026-09-21T15:00:00+01:00",
        offset=60,
        body=body or StoreSet(store="barn", facts={"kind": "outbuilding"}),
        typed="15:00",
    )


def contents(*records: Record) -> list[bytes]:
    return [codec.encode(record) for record in records]


async def test_what_is_written_gets_its_name_its_stamp_and_its_time(ledger: Ledger) -> None:
    (first,) = await ledger.write([Draft(body=beans(), by="cook", note="rained off")])
    (second,) = await ledger.write([Draft(body=beans(3))])
    record = first.record
    assert (record.household, record.device, record.seq) == ("household01", "device02", 2)
    assert record.at == "2026-09-21T15:13:20+01:00"
    assert (record.offset, record.typed, record.deed) == (60, None, None)
    assert (record.by, record.note) == ("cook", "rained off")
    assert (first.position, first.received, first.sent_by) == (2, NOW, "device02")
    assert (second.record.seq, second.position) == (3, 3)
    assert second.record.stamp > record.stamp >= Stamp(NOW)
    assert ledger.next_seq == 4
    assert [e.record.name for e in ledger.entries] == ["device02:1", "device02:2", "device02:3"]
    assert ledger.book.lots["device02:2:0"].unit == "jar"


async def test_a_day_said_by_a_person_stays_a_day_and_what_was_typed_is_kept(
    ledger: Ledger,
) -> None:
    drafts = [
        Draft(body=beans(), at="2026-08-14", typed="14 Aug"),
        Draft(body=beans(), at="2026-08"),
    ]
    entries = await ledger.write(drafts)
    assert [(e.record.at, e.record.typed) for e in entries] == [
        ("2026-08-14", "14 Aug"),
        ("2026-08", "2026-08"),
    ]


async def test_several_records_are_one_deed_unless_said_otherwise(ledger: Ledger) -> None:
    deed = await ledger.write([Draft(body=beans()), Draft(body=beans())])
    assert [e.record.deed for e in deed] == [2, 2]
    assert {e.record.deed_name for e in deed} == {"device02:2"}
    apart = await ledger.write([Draft(body=beans()), Draft(body=beans())], deed=False)
    assert [e.record.deed for e in apart] == [None, None]
    assert len({e.record.stamp for e in [*deed, *apart]}) == 4


async def test_writing_nothing_writes_nothing(ledger: Ledger) -> None:
    assert await ledger.write([]) == []
    assert len(ledger.entries) == 1


@pytest.mark.parametrize(
    ("draft", "words"),
    [
        (Draft(body=beans(), at="last week"), "last week"),
        (Draft(body=beans(), at="2026-13-01"), "2026-13"),
        (Draft(body=beans(), note="a\0b"), "NUL"),
        (Draft(body=beans(), note="x" * 5000), "note"),
        (Draft(body=MemberSet(member="", facts={})), "member"),
        (Draft(body=Consumed(lot="7K3QF", amount=Amount(unit="jar", n=1))), "7K3QF"),
        (Draft(body=beans(-1)), "amount"),
        (Draft(body=StoreSet(store="barn//top", facts={})), "barn//top"),
        (Draft(body=StoreSet(store="barn", facts={"a": "\ud800"})), "surrogate"),
    ],
)
async def test_what_has_not_its_form_is_refused_in_a_sentence_and_nothing_is_written(
    ledger: Ledger, draft: Draft, words: str
) -> None:
    with pytest.raises(WrongUse, match=words) as told:
        await ledger.write([Draft(body=beans()), draft])
    assert "\n" not in told.value.sentence
    assert len(ledger.entries) == 1
    assert ledger.next_seq == 2


async def test_records_of_another_device_are_taken_in_once(ledger: Ledger) -> None:
    batch = contents(sent(1), sent(2, beans()))
    receipts = await ledger.accept(batch, "cook")
    assert receipts == [
        Receipt(state="new", name="cook:1", position=2),
        Receipt(state="new", name="cook:2", position=3),
    ]
    again = await ledger.accept(batch[::-1], "cook")
    assert [(r.state, r.position) for r in again] == [("known", 3), ("known", 2)]
    assert len(ledger.entries) == 3
    assert "cook:2:0" in ledger.book.lots
    entry = ledger.book.entry("cook:2")
    assert entry is not None
    assert (entry.received, entry.sent_by) == (NOW, "cook")


async def test_another_fact_under_the_same_name_is_set_aside_and_raised(ledger: Ledger) -> None:
    first, other = sent(1, beans(12)), sent(1, beans(7))
    await ledger.accept(contents(first), "cook")
    (receipt,) = await ledger.accept(contents(other), "cook")
    assert (receipt.state, receipt.name, receipt.position) == ("aside", "cook:1", 2)
    assert receipt.reason is not None
    assert "set aside" in receipt.reason
    (aside,) = ledger.set_aside
    assert (aside.device, aside.seq, aside.content) == ("cook", 1, codec.encode(other))
    assert aside.digest == codec.digest(codec.encode(other))
    kept = ledger.book.entry("cook:1")
    assert kept is not None
    assert kept.record == first
    same = [c for c in ledger.book.concerns() if c.kind == "same-name"]
    assert [c.rests_on for c in same] == [("cook:1",)]


async def test_a_record_that_is_missing_in_between_is_raised_until_it_arrives(
    ledger: Ledger,
) -> None:
    await ledger.accept(contents(sent(1), sent(3)), "cook")
    assert "gap-in-device" in [c.kind for c in ledger.book.concerns()]
    await ledger.accept(contents(sent(2)), "cook")
    assert "gap-in-device" not in [c.kind for c in ledger.book.concerns()]


async def test_a_batch_with_some_that_cannot_be_read_takes_the_others(ledger: Ledger) -> None:
    foreign = msgspec.structs.replace(sent(2), household="mill-row")
    undated = codec.encode(sent(3)).replace(b"2026-09-21T15:00:00+01:00", b"2026-99-21")
    batch = [b"{", *contents(sent(1), foreign), undated, *contents(sent(4))]
    receipts = await ledger.accept(batch, "cook")
    assert [r.state for r in receipts] == ["refused", "new", "refused", "refused", "new"]
    assert [r.position for r in receipts] == [None, 2, None, None, 3]
    reasons = [r.reason for r in receipts if r.reason]
    assert "JSON" in reasons[0]
    assert "another household (mill-row)" in reasons[1]
    assert "2026-99-21" in reasons[2]


async def test_a_kind_that_nobody_here_knows_is_kept_byte_for_byte_and_raised(
    ledger: Ledger,
) -> None:
    content = codec.canonical(
        {**msgspec.to_builtins(sent(1)), "body": {"kind": "moonlit", "phase": "full"}}
    )
    (receipt,) = await ledger.accept([content], "cook")
    assert receipt == Receipt(state="new", name="cook:1", position=2)
    unread = ledger.book.unread["cook:1"]
    assert unread.position == 2
    assert unread.unread == Unread(name="cook:1", kind="moonlit", version=1, content=content)
    assert "unread-record" in [c.kind for c in ledger.book.concerns()]
    (foreign,) = await ledger.accept([content.replace(b"household01", b"mill-row")], "cook")
    assert foreign.state == "refused"


async def test_own_records_that_come_back_move_the_counter_on(ledger: Ledger) -> None:
    """After a log was put back from an old copy, other devices still have what it wrote since."""
    await ledger.accept(contents(sent(7, device="device02")), "cook")
    assert ledger.next_seq == 8
    (entry,) = await ledger.write([Draft(body=beans())])
    assert entry.record.name == "device02:8"
    unread = {**msgspec.to_builtins(sent(9, device="device02")), "body": {"kind": "moonlit"}}
    batch = [codec.canonical(unread), *contents(sent(1, ms=NOW + 10**11))]
    receipts = await ledger.accept(batch, "cook")
    assert [r.state for r in receipts] == ["new", "new"]
    assert ledger.entries[-1].record.name == "device02:10", "the `redated` of the wild clock"
    assert ledger.next_seq == 11


async def test_stamps_rise_past_every_stamp_that_was_seen(ledger: Ledger) -> None:
    ahead = Stamp(NOW + 300_000, 4)
    await ledger.accept(contents(msgspec.structs.replace(sent(1), stamp=ahead)), "cook")
    (entry,) = await ledger.write([Draft(body=beans())])
    assert entry.record.stamp == Stamp(NOW + 300_000, 5)


async def test_writers_and_senders_at_the_same_time(
    clock: Fixed, monkeypatch: pytest.MonkeyPatch
) -> None:
    household = Household(
        id="household01", name="Hollow Lane", timezone="Europe/London", device="device02"
    )
    store = MemoryStore()
    quick = store.append

    async def slow(
        items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        """Lets others go first at each step, as a disk does."""
        await asyncio.sleep(0)
        outcomes = await quick(items, received, meta)
        await asyncio.sleep(0)
        return outcomes

    monkeypatch.setattr(store, "append", slow)
    ledger = Ledger(store, Book(), clock, household)
    await ledger.write([Draft(body=beans())])

    async def push(device: str) -> list[Receipt]:
        batch = contents(*(sent(seq, device=device) for seq in range(1, 11)))
        halves = await asyncio.gather(
            ledger.accept(batch, device), ledger.accept(batch[5:] + batch[:5], device)
        )
        return [*halves[0], *halves[1]]

    receipts, written = await asyncio.gather(
        asyncio.gather(*(push(f"phone{n}") for n in range(4))),
        asyncio.gather(*(ledger.write([Draft(body=beans())]) for _ in range(10))),
    )
    for of_device in receipts:
        assert sorted(r.state for r in of_device) == ["known"] * 10 + ["new"] * 10
    assert sorted(e.record.seq for (e,) in written) == list(range(2, 12))
    positions = [entry.position for entry in ledger.entries]
    assert positions == list(range(1, 52))
    stamps = [e.record.stamp for e in ledger.entries if e.record.device == "device02"]
    assert stamps == sorted(set(stamps))


async def test_who_stops_waiting_does_not_stop_a_write_halfway(ledger: Ledger) -> None:
    writing = asyncio.create_task(ledger.write([Draft(body=beans())]))
    await asyncio.sleep(0)
    writing.cancel()
    with pytest.raises(asyncio.CancelledError):
        await writing
    (entry,) = await ledger.write([Draft(body=beans())])
    assert entry.record.seq == len(ledger.entries)
    assert {e.record.name for e in ledger.entries} == {
        f"device02:{seq}" for seq in range(1, entry.record.seq + 1)
    }
