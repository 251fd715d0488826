"""Replicas and their service over ways that lose, delay, repeat and tear: all agree afterwards."""

import asyncio
import tempfile
from collections.abc import AsyncIterator, Sequence
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.kinds import (
    GRAIN,
    Amount,
    Body,
    Consumed,
    Counted,
    Draw,
    Moved,
    Received,
    Redated,
    Repacked,
    StoreSet,
    Voided,
    Yield,
)
from service.clock import Fixed
from service.drafts import Draft
from service.errors import LogChanged, TurnedAway, Unreachable
from service.sync.ticket import Ticket
from tests.conftest import EXAMPLES
from tests.wire import FAULTS, Fault
from tests.world import NOW, URL, Home, World, world

LOT = "device02:3:0"
"""The beans that the household begins with"""


@pytest.fixture
async def lane(tmp_path: Path) -> AsyncIterator[World]:
    async with world(tmp_path) as made:
        await beans(made)
        yield made


async def beans(made: World) -> None:
    amount = Amount(unit="jar", n=12 * GRAIN)
    bringing = Received(food="green beans", form="home-canned", amount=amount, store="barn")
    (entry,) = await made.hub.write([Draft(body=bringing)])
    assert f"{entry.record.name}:0" == LOT


def jars(n: int) -> Amount:
    return Amount(unit="jar", n=n * GRAIN)


def take(n: int = 1, store: str = "barn") -> Consumed:
    return Consumed(lot=LOT, amount=jars(n), store=store)


def left(made: World) -> int:
    lot = made.hub.book.lot(LOT)
    assert lot is not None
    return sum(parcel.n for parcel in lot.parcels) // GRAIN


def names(made: World) -> list[str]:
    return [entry.record.name for entry in made.hub.entries]


async def agree(made: World, *homes: Home) -> None:
    """Every home holds the hub's log, byte for byte, nothing waits, and all books are the same."""
    log = await made.hub.page(0, 10_000)
    for home in homes:
        assert await home.store.page(0, 10_000) == log
        assert await home.store.counts() == {}
        assert (await home.book()).state_hash() == made.hub.book.state_hash()


# -- one thing at a time ---------------------------------------------------------------------------


async def test_a_new_replica_takes_in_the_whole_log(lane: World) -> None:
    home = await lane.home()
    tally = await home.replica.once()
    assert (tally.sent, tally.received, tally.left) == (0, len(names(lane)), {})
    await agree(lane, home)
    again = await home.replica.once()
    assert (again.sent, again.received) == (0, 0)


async def test_a_deed_without_a_network_is_in_the_book_at_once_and_goes_out_later(
    lane: World,
) -> None:
    home = await lane.home()
    await home.replica.once()
    (entry,) = await home.does(take(2))
    lot = (await home.book()).lot(LOT)
    assert lot is not None
    assert sum(parcel.n for parcel in lot.parcels) == 10 * GRAIN
    assert left(lane) == 12
    tally = await home.replica.once()
    assert (tally.sent, tally.received) == (1, 0)
    assert left(lane) == 10
    heard = lane.hub.book.entry(entry.record.name)
    assert heard is not None
    assert heard.sent_by == home.joined.device
    await agree(lane, home)


async def test_two_takes_in_the_same_minute_beside_a_retry_of_one_are_two(lane: World) -> None:
    """Identity decides, never likeness: all four look alike, three happened."""
    cook, teen = await lane.home("cook's"), await lane.home("teen's")
    for home in (cook, teen):
        await home.replica.once()
    cook.way._faults = ["unanswered"]
    await cook.does(take())
    await teen.does(take())
    with pytest.raises(Unreachable):
        await cook.replica.once()
    assert left(lane) == 11
    await teen.replica.once()
    await cook.does(take())
    await cook.replica.once()
    await teen.replica.once()
    assert left(lane) == 9
    assert len(set(names(lane))) == len(names(lane))
    await agree(lane, cook, teen)


@pytest.mark.parametrize("fault", FAULTS[1:])
async def test_whatever_happens_on_the_way_the_next_round_mends_it(
    lane: World, fault: Fault
) -> None:
    for at in range(2):
        home = await lane.home(f"tablet {at}")
        await home.replica.once()
        await home.does(take(), Moved(lot=LOT, amount=jars(1), store="barn", to="hall"))
        good: list[Fault] = [""]
        home.way._faults = [*good * at, fault]
        try:
            await home.replica.once()
        except Unreachable:
            assert fault in ("lost", "unanswered", "late", "cut", "stale")
        assert fault in home.way.met
        home.way.mend()
        for _ in range(2):
            await home.replica.once()
        await agree(lane, home)


async def test_an_answer_to_something_else_marks_nothing(lane: World) -> None:
    home = await lane.home()
    await home.does(take())
    await home.replica.once()
    await home.does(take())
    home.way._faults = ["stale"]
    with pytest.raises(Unreachable, match="something else"):
        await home.replica.once()
    assert set(await home.store.counts()) == {"waiting"}
    await home.replica.once()
    await agree(lane, home)


async def test_what_the_service_had_taken_and_has_not_any_more_is_sent_again(lane: World) -> None:
    home = await lane.home()
    await home.replica.once()
    await home.does(take())
    home.way._faults = ["", "cut"]
    with pytest.raises(Unreachable):
        await home.replica.once()
    assert set(await home.store.counts()) == {"sent"}
    other = World(lane.hub, lane.who_may, lane.clock)
    lost = lane.hub._store._rows.pop()  # type: ignore[attr-defined]
    assert b"consumed" in lost.content
    del lane.hub._store._positions[(home.joined.device, 1)]  # type: ignore[attr-defined]
    fresh = type(lane.hub)(lane.hub._store, type(lane.hub.book)(), lane.clock, lane.hub.household)
    await fresh.load()
    other = World(fresh, lane.who_may, lane.clock)
    home.way = other.way()
    home.pair(home.joined)
    await home.replica.once()
    assert set(await home.store.counts()) == {"waiting"}
    await home.replica.once()
    await agree(other, home)


async def test_a_big_outbox_goes_out_in_parts_and_a_big_log_comes_in_in_parts(lane: World) -> None:
    home, other = await lane.home(), await lane.home("slate")
    await home.replica.once()
    note = "x" * 3000
    drafts = [Draft(body=take(0), note=note) for _ in range(1200)]
    await (await home.ledger()).write(drafts, deed=False)
    tally = await home.replica.once()
    assert tally.sent == 1200
    assert home.way.met.count("") > 5
    assert (await other.replica.once()).received >= 1200
    await agree(lane, home, other)


# -- what the household's days bring ------------------------------------------------------------------


async def test_a_phone_from_the_future_is_redated_and_all_agree(lane: World) -> None:
    phone, tablet = await lane.home("phone"), await lane.home()
    phone.clock = Fixed(NOW + 70 * 3_600_000)
    (entry,) = await phone.does(take())
    await phone.replica.once()
    redated = [e.record.body for e in lane.hub.entries if isinstance(e.record.body, Redated)]
    assert [body.record for body in redated] == [entry.record.name]
    assert lane.hub.book.place(entry.record.name) <= NOW + 60_000
    for home in (tablet, phone, tablet):
        await home.replica.once()
    (own,) = await tablet.does(take())
    assert own.record.stamp.ms == NOW
    await tablet.replica.once()
    await phone.replica.once()
    assert left(lane) == 10
    await agree(lane, phone, tablet)


async def test_one_crate_carried_to_two_places_at_once_stays_one_crate(lane: World) -> None:
    cook, teen = await lane.home("cook's"), await lane.home("teen's")
    for home, to in ((cook, "back-room"), (teen, "cellar")):
        await home.replica.once()
        lane.clock.ms += 300_000
        await home.does(Moved(lot=LOT, amount=jars(12), store="barn", to=to))
    for home in (teen, cook, teen):
        await home.replica.once()
    await agree(lane, cook, teen)
    assert left(lane) == 12
    assert "moved-short" in {concern.kind for concern in (await teen.book()).concerns()}


async def test_what_was_split_before_the_sack_was_heard_of_completes(lane: World) -> None:
    scales, phone = await lane.home("scales"), await lane.home("phone")
    bag = Amount(unit="lb", n=20 * GRAIN)
    (sack,) = await phone.does(Received(food="oats", amount=bag, store="barn"))
    lane.clock.ms += 60_000
    (split,) = await scales.does(
        Repacked(
            draws=(Draw(lot=f"{sack.record.name}:0", amount=bag, store="barn"),),
            yields=(Yield(food="oats", amount=jars(2), store="kitchen"),),
        )
    )
    await scales.replica.once()
    assert "unknown-lot" in {concern.kind for concern in lane.hub.book.concerns()}
    for home in (phone, scales, phone):
        await home.replica.once()
    assert "unknown-lot" not in {concern.kind for concern in lane.hub.book.concerns()}
    assert lane.hub.book.parents(f"{split.record.name}:0") == [f"{sack.record.name}:0"]
    await agree(lane, scales, phone)


async def test_what_a_newer_program_wrote_comes_through_byte_for_byte(lane: World) -> None:
    home = await lane.home()
    content = (
        b'{"at":"2026-09-21","body":{"kind":"blessed","lot":"x"},"device":"newer",'
        b'"household":"household01","offset":0,"seq":1,"stamp":[1790000000000,0],"v":7}'
    )
    (receipt,) = await lane.hub.accept([content], "newer")
    assert receipt.state == "new"
    await home.replica.once()
    assert (await home.store.page(0, 100))[-1].content == content
    assert "newer:1" in (await home.book()).unread
    await agree(lane, home)


# -- not let in, another log -------------------------------------------------------------------------


async def test_a_retired_device_loses_nothing_and_hands_over_with_a_keepers_consent(
    lane: World,
) -> None:
    """Fourteen takes over nine days; retired on the second; paired anew on the ninth."""
    home = await lane.home("shared tablet")
    await home.replica.once()
    old = home.joined.device
    for day in range(9):
        lane.clock.ms += 86_400_000
        await home.does(*[take()] * (2 if day < 5 else 1))
        if day == 1:
            await lane.who_may.retire(old)
        if day > 1:
            with pytest.raises(TurnedAway, match=f"--formerly {old}"):
                await home.replica.once()
        assert sum(c.number for c in (await home.store.counts()).values()) == sum(
            2 if d < 5 else 1 for d in range(day + 1)
        )
    assert left(lane) == 12
    # paired anew by somebody who did not ask the keeper: what waits is refused, and stays
    anew = await lane.paired("shared tablet")
    await home.store.note({"device": anew.device, "formerly": old})
    home.pair(anew)
    tally = await home.replica.once()
    assert tally.sent == 0
    assert tally.left["refused"].number == 14
    (first, *_) = await home.store.outbox(["refused"])
    assert old in (first.reason or "")
    # with the keeper's consent it goes out under its old name
    granted = await lane.paired("shared tablet", formerly=old)
    await home.store.note({"device": granted.device, "formerly": f"{anew.device} {old}"})
    home.pair(granted)
    assert (await home.replica.once()).sent == 14
    assert left(lane) == 0
    takes = [e for e in lane.hub.entries if isinstance(e.record.body, Consumed)]
    assert {(e.record.device, e.sent_by) for e in takes} == {(old, granted.device)}
    await home.does(StoreSet(store="hall", facts={"kind": "room"}))
    await home.replica.once()
    await agree(lane, home)


async def test_a_reader_cannot_push_and_what_waits_stays(lane: World) -> None:
    home = await lane.home(role="reader")
    await home.replica.once()
    await home.does(take())
    with pytest.raises(TurnedAway):
        await home.replica.once()
    assert (await home.store.counts())["waiting"].number == 1


async def test_another_log_is_said_and_changes_nothing(lane: World) -> None:
    home = await lane.home()
    await home.replica.once()
    await home.does(take())
    before = await home.store.page(0, 100)
    for fact in ({"log": "elsewhere"}, {"epoch": "7"}):
        meta = await home.store.meta()
        await home.store.note(fact)
        with pytest.raises(LogChanged, match="--rebuild"):
            await home.replica._pull()
        assert await home.store.page(0, 100) == before
        await home.store.note({name: meta[name] for name in fact})


async def test_rebuilt_from_nothing_and_the_outbox_stays(lane: World) -> None:
    home, other = await lane.home(), await lane.home("slate")
    for one in (home, other):
        await one.replica.once()
    await other.does(take())
    await other.replica.once()
    await home.replica.once()
    await home.does(take(3))
    tally = await home.replica.rebuild()
    assert tally.sent == 1
    await agree(lane, home)
    assert left(lane) == 8


async def test_rebuilt_halfway_it_goes_on(lane: World) -> None:
    home = await lane.home()
    await home.replica.once()
    await home.does(take())
    home.way._faults = ["cut"]
    with pytest.raises(Unreachable):
        await home.replica.rebuild()
    assert {row.content for row in await home.store.page(0, 100)} >= {
        row.content for row in await lane.hub.page(0, 100)
    }
    await home.replica.once()
    await agree(lane, home)


async def test_a_device_set_back_from_a_copy_is_told_and_nothing_is_lost(lane: World) -> None:
    home = await lane.home()
    await home.replica.once()
    copy = {**home.store._out}, home.store._number  # type: ignore[attr-defined]
    (first,) = await home.does(take(1))
    home.way._faults = ["", "cut"]
    with pytest.raises(Unreachable):
        await home.replica.once()
    home.store._out, home.store._number = copy  # type: ignore[attr-defined]
    (second,) = await home.does(take(2))
    assert second.record.name == first.record.name
    await home.replica.once()
    await home.replica.once()
    (aside,) = await home.store.outbox(["aside"])
    assert "anew" in (aside.reason or "")
    assert left(lane) == 11
    lot = (await home.book()).lot(LOT)
    assert lot is not None
    assert sum(parcel.n for parcel in lot.parcels) == 11 * GRAIN


async def test_what_was_set_aside_is_heard_of_by_all(lane: World) -> None:
    """A device set back writes its counter twice: whoever hears which first, all know of both."""
    home, other = await lane.home(), await lane.home("slate")
    for one in (home, other):
        await one.replica.once()
    copy = {**home.store._out}, home.store._number  # type: ignore[attr-defined]
    await home.does(take(1))
    home.way._faults = ["", "cut"]
    with pytest.raises(Unreachable):
        await home.replica.once()
    home.store._out, home.store._number = copy  # type: ignore[attr-defined]
    (second,) = await home.does(take(2))
    await home.replica.once()
    assert [a.seq for a in lane.hub.set_aside] == [second.record.seq]
    third = await lane.home("new")
    for one in (other, third, home):
        await one.replica.once()
        book = await one.book()
        assert "same-name" in {concern.kind for concern in book.concerns()}
        assert book.state_hash() == lane.hub.book.state_hash()
        (aside,) = (await one.ledger()).set_aside
        assert aside.content == lane.hub.set_aside[0].content
    met = len(other.way.met)
    await other.replica.once()
    assert len(other.way.met) == met + 1  # what is known is not asked for again


async def test_what_a_replica_set_aside_before_it_was_sent_gets_to_the_service(lane: World) -> None:
    home, other = await lane.home(), await lane.home("slate")
    for one in (home, other):
        await one.replica.once()
    (first,) = await home.does(take(1))
    await home.replica.once()
    (row,) = [r for r in await lane.hub.page(0, 100) if b'"consumed"' in r.content]
    # put back from a copy of before, it logs again, and hears of the first before it sends
    home.store._log, home.store._last = type(home.store._log)(), 0  # type: ignore[attr-defined]
    await home.store.note(Ticket(url=URL, joined=home.joined).meta())
    (second,) = await home.does(take(2))
    assert second.record.name == first.record.name
    await home.replica._pull()
    assert lane.hub.set_aside == []
    (aside,) = await home.store.outbox(["aside"])
    await home.replica.once()
    assert [a.content for a in lane.hub.set_aside] == [aside.item.content]
    assert set(await home.store.counts()) == {"aside"}
    await other.replica.once()
    for one in (home, other):
        assert (await one.book()).state_hash() == lane.hub.book.state_hash()
    assert left(lane) == 11
    assert row.content in [r.content for r in await home.store.page(0, 100)]


async def test_wherever_it_failed_it_is_kept_why_and_when(lane: World) -> None:
    home = await lane.home()
    await home.replica.once()
    assert (await home.store.meta())["contact"] == str(NOW)
    home.way._faults = ["lost"]
    lane.clock.ms += 1000
    with pytest.raises(Unreachable):
        await home.replica.once()
    meta = await home.store.meta()
    assert ("answer" in meta["failure"], meta["failed"]) == (True, str(NOW + 1000))
    lane.clock.ms += 1000
    await home.replica.once()
    meta = await home.store.meta()
    assert (meta["failure"], meta["contact"]) == ("", str(NOW + 2000))


# -- any history, any way ------------------------------------------------------------------------------

STORES = ("barn", "hall", "cellar")
steps = st.lists(
    st.tuples(
        st.integers(0, 2),
        st.sampled_from(["take", "move", "count", "bring", "void", "sync", "sync"]),
        st.integers(0, 5),
        st.sampled_from(STORES),
    ),
    max_size=25,
)
ways = st.lists(st.lists(st.sampled_from(FAULTS), max_size=15), min_size=2, max_size=2)


def said(what: str, n: int, store: str, mine: Sequence[str]) -> Body:
    match what:
        case "take":
            return take(n, store)
        case "move":
            return Moved(lot=LOT, amount=jars(n), store=store, to=STORES[n % 3])
        case "count":
            return Counted(lot=LOT, amount=jars(n), store=store)
        case "bring":
            return Received(food="oats", amount=jars(n), store=store)
        case _:
            return Voided(record=mine[n % len(mine)] if mine else "nobody:1")


@settings(max_examples=max(20, EXAMPLES // 4))
@given(steps, ways)
def test_all_agree_whatever_was_done_and_however_bad_the_way(
    steps: list[tuple[int, str, int, str]], ways: list[list[Fault]]
) -> None:
    async def run(folder: Path) -> None:
        async with world(folder) as made:
            await beans(made)
            homes = [await made.home(f"tablet {n}", way) for n, way in enumerate(ways)]
            mine: dict[int, list[str]] = {0: [], 1: [], 2: []}
            for who, what, n, store in steps:
                made.clock.ms += 20_000
                if what == "sync":
                    with suppress(Unreachable):
                        await homes[who % 2].replica.once()
                    continue
                body = said(what, n, store, mine[who])
                if who == 2:
                    entries = await made.hub.write([Draft(body=body)])
                else:
                    entries = await homes[who].does(body)
                mine[who] += [entry.record.name for entry in entries]
            for home in homes:
                home.way.mend()
            for _ in range(3):
                for home in homes:
                    await home.replica.once()
            await agree(made, *homes)
            assert sorted(set(names(made))) == sorted(names(made))
            assert {name for own in mine.values() for name in own} <= set(names(made))

    with tempfile.TemporaryDirectory() as folder:
        asyncio.run(run(Path(folder)))
