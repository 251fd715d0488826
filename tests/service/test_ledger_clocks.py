"""Clocks that are off: kept as they are, answered with a `redated`, never adopted."""

from collections.abc import AsyncIterator

import msgspec
import pytest

from events import codec, redating
from events.kinds import GRAIN, Amount, Received, Redated, Stamp
from events.record import Entry, Record
from service import assemble
from service.clock import CountedIds, Fixed, instant
from service.drafts import Draft
from service.ledger import Ledger

NOW = 1_790_000_000_000
"""2026-09-21 15:13:20 in London"""
MINUTE = 60_000
YEAR = 365 * 24 * 60 * MINUTE


@pytest.fixture
def clock() -> Fixed:
    return Fixed(NOW)


@pytest.fixture
async def ledger(clock: Fixed) -> AsyncIterator[Ledger]:
    made = await assemble.make_passing("Hollow Lane", "Europe/London", [], clock, CountedIds())
    async with made:
        yield made


def beans(seq: int, ms: int, at: str | None = None, typed: str | None = None) -> Record:
    """A bringing-in by a phone whose clock says `ms`, and which has seen nothing later."""
    return Record(
        household="household01",
        device="phone",
        seq=seq,
        stamp=Stamp(ms),
        at=at or instant(ms, 60),
        offset=60,
        typed=typed,
        body=Received(food="green beans", amount=Amount(unit="jar", n=3 * GRAIN), store="barn"),
    )


async def accept(ledger: Ledger, *records: Record) -> list[Entry]:
    """Take them in; the `redated` entries that the ledger wrote of its own."""
    before = len(ledger.entries)
    receipts = await ledger.accept([codec.encode(record) for record in records], "phone")
    assert [r.state for r in receipts] == ["new"] * len(records)
    added = ledger.entries[before:]
    assert [entry.record for entry in added[: len(records)]] == list(records), "kept as sent"
    return added[len(records) :]


def redated(entry: Entry) -> Redated:
    assert isinstance(entry.record.body, Redated)
    assert entry.record.device == "device02"
    return entry.record.body


async def test_a_right_clock_is_let_be(ledger: Ledger) -> None:
    assert await accept(ledger, beans(1, NOW), beans(2, NOW - YEAR)) == []
    assert await accept(ledger, beans(3, NOW + 9 * MINUTE)) == []
    assert await accept(ledger, beans(4, NOW, at="2026-08-14", typed="14 Aug")) == []
    assert await accept(ledger, beans(5, NOW, at="2026-09-21", typed="today")) == []
    assert await accept(ledger, beans(6, NOW, at="../2026-09", typed="by Sept")) == []


async def test_a_clock_three_years_ahead(ledger: Ledger) -> None:
    (entry,) = await accept(ledger, beans(1, NOW + 3 * YEAR))
    said = redated(entry)
    assert (said.record, said.at, said.offset) == ("phone:1", "2026-09-21T15:13:20+01:00", 60)
    assert said.stamp is not None
    assert said.stamp.ms == NOW
    assert entry.record.stamp.ms == NOW, "nobody adopts the wild stamp"
    (own,) = await ledger.write([Draft(body=Received(food="oats", amount=Amount(unit="kg", n=5)))])
    assert own.record.stamp.ms == NOW
    assert ledger.book.place("phone:1") <= NOW + 999
    concern = next(c for c in ledger.book.concerns() if c.kind == "clock-off")
    assert set(concern.rests_on) == {entry.record.name, "phone:1"}


async def test_many_of_a_wild_device_keep_their_order(ledger: Ledger) -> None:
    later = NOW + 3 * YEAR
    entries = await accept(ledger, *(beans(seq, later + seq) for seq in range(1, 6)))
    stamps = [redated(entry).stamp for entry in entries]
    assert stamps == sorted(stamps, key=lambda s: s or Stamp(0))
    assert len(set(stamps)) == 5
    assert [redated(entry).record for entry in entries] == [f"phone:{seq}" for seq in range(1, 6)]


async def test_a_wild_stamp_under_a_day_that_a_person_said_keeps_the_day(ledger: Ledger) -> None:
    (entry,) = await accept(ledger, beans(1, NOW + YEAR, at="2026-09-01", typed="1 Sept"))
    said = redated(entry)
    assert (said.at, said.offset) == (None, None)
    assert said.stamp is not None
    assert said.stamp.ms == NOW
    assert ledger.book.span("phone:1")[0] == 1_788_217_200_000  # 1 September, 0:00 in London


async def test_a_day_to_come_is_heard_of_now(ledger: Ledger) -> None:
    record = beans(1, NOW, at="2027-09-01", typed="1 Sept 2027")
    (entry,) = await accept(ledger, record)
    said = redated(entry)
    assert said.at == "2026-09-21T15:13:20+01:00"
    assert said.stamp == record.stamp, "its stamp was sound"


async def test_a_flat_battery_that_woke_in_1970(ledger: Ledger) -> None:
    """The phone had seen today's stamps, so its stamp is right and its time is not."""
    record = beans(1, NOW - 5 * MINUTE, at="1970-01-01T01:00:09+01:00")
    (entry,) = await accept(ledger, record)
    said = redated(entry)
    assert said.at == instant(NOW - 5 * MINUTE, 60)
    assert said.stamp == record.stamp
    assert ledger.book.place("phone:1") <= NOW - 5 * MINUTE + 999


async def test_a_day_long_ago_that_a_person_said_is_believed(ledger: Ledger) -> None:
    assert await accept(ledger, beans(1, NOW, at="1970-01-01", typed="1 Jan 1970")) == []


async def test_nine_minutes_behind_what_was_seen_are_let_be(ledger: Ledger) -> None:
    assert await accept(ledger, beans(1, NOW, at=instant(NOW - 9 * MINUTE, 60))) == []
    assert len(await accept(ledger, beans(2, NOW, at=instant(NOW - 11 * MINUTE, 60)))) == 1


async def test_a_repeat_is_not_redated_again(ledger: Ledger) -> None:
    record = beans(1, NOW + YEAR)
    assert len(await accept(ledger, record)) == 1
    receipts = await ledger.accept([codec.encode(record)] * 2, "phone")
    assert [r.state for r in receipts] == ["known", "known"]
    assert len(ledger.entries) == 3


async def test_a_new_record_twice_in_one_batch_is_redated_once(ledger: Ledger) -> None:
    await ledger.accept([codec.encode(beans(1, NOW + YEAR))] * 2, "phone")
    assert len(ledger.entries) == 3


async def test_this_devices_own_clock_set_back(ledger: Ledger, clock: Fixed) -> None:
    clock.ms = 9_000
    amount = Amount(unit="kg", n=5)
    (entry,) = await ledger.write([Draft(body=Received(food="oats", amount=amount))])
    assert entry.record.at == "1970-01-01T01:00:09+01:00"
    assert entry.record.stamp.ms == NOW
    answer = ledger.entries[-1]
    assert redated(answer).record == entry.record.name
    assert redated(answer).at == "2026-09-21T15:13:20+01:00"
    assert entry.received == NOW
    typed = Draft(body=Received(food="oats", amount=amount), at="2026-09-20", typed="20 Sept")
    before = len(ledger.entries)
    await ledger.write([typed])
    assert len(ledger.entries) == before + 1, "what a person said needs no answer"


async def test_a_clock_that_woke_in_1970_calls_nobody_wild(ledger: Ledger, clock: Fixed) -> None:
    clock.ms = 9_000
    assert await accept(ledger, beans(1, NOW + 5 * MINUTE)) == []
    (entry,) = await accept(ledger, beans(2, NOW + YEAR))
    assert redated(entry).at == instant(NOW + 5 * MINUTE, 60)


async def test_what_was_wild_stays_wild_when_the_log_is_read_again(
    ledger: Ledger, clock: Fixed
) -> None:
    await accept(ledger, beans(1, NOW + YEAR), beans(2, NOW + MINUTE))
    newest = max(e.record.stamp for e in ledger.entries if e.record.name != "phone:1")
    again = Ledger(ledger._store, type(ledger.book)(), clock, ledger.household)
    await again.load()
    (entry,) = await again.write([Draft(body=Received(food="oats", amount=Amount(unit="kg")))])
    assert newest < entry.record.stamp < Stamp(NOW + 2 * MINUTE)
    assert again.book.place("phone:1") == ledger.book.place("phone:1")


def test_a_clock_that_is_right_is_told_by_no_rule() -> None:
    record = beans(1, NOW)
    assert redating.judge(record, NOW) is None
    assert redating.judge(msgspec.structs.replace(record, at="2026"), NOW) is None
