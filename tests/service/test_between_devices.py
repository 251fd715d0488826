"""Stories of a household with several devices: wrong clocks, a crate in two places, older records."""

import itertools
import sqlite3
from collections.abc import AsyncIterator
from pathlib import Path

import msgspec
import pytest

from events import codec
from events.book import Book
from events.kinds import (
    GRAIN,
    Amount,
    Consumed,
    Draw,
    LotSet,
    Moved,
    PutUp,
    Received,
    Repacked,
    StoreSet,
    Yield,
)
from events.readings.batch import batch
from events.upcasts import Plain
from service import assemble
from service.assemble import LOG, program
from service.clock import CountedIds, Fixed
from service.drafts import Draft, Taken
from tests.serving import said
from tests.world import NOW, Home, World, world

MINUTE = 60_000
IN_2099 = 4_080_000_000_000


def jars(n: int) -> Amount:
    return Amount(unit="jar", n=n * GRAIN)


@pytest.fixture
async def lane(tmp_path: Path) -> AsyncIterator[World]:
    async with world(tmp_path) as made:
        await made.hub.write([Draft(body=Received(food="squash", amount=jars(8), store="shed"))])
        yield made


SQUASH = "device02:3:0"


async def agree(made: World, *homes: Home) -> None:
    for _ in range(2):
        for home in homes:
            await home.replica.once()
    for home in homes:
        assert (await home.book()).state_hash() == made.hub.book.state_hash()


def here(book: Book) -> dict[str, int]:
    lot = book.lot(SQUASH)
    assert lot is not None
    return {parcel.store: parcel.n // GRAIN for parcel in lot.parcels if parcel.n}


# -- wrong clocks ----------------------------------------------------------------------------------


async def test_a_phone_set_to_2099_counts_today_and_wins_no_later_name(lane: World) -> None:
    phone, slow = await lane.home("teen's"), await lane.home("keeper's")
    for home in (phone, slow):
        await home.replica.once()
    phone.clock = Fixed(IN_2099)
    took, named = await phone.does(
        Consumed(lot=SQUASH, amount=jars(1), store="shed"),
        LotSet(lot=SQUASH, facts={"label": "from 2099"}),
    )
    await phone.replica.once()
    entry = lane.hub.book.entry(took.record.name)
    assert entry is not None
    # the device's own time stays as it was written, the service's stands beside it
    assert entry.record.at.startswith("2099")
    assert entry.record.stamp.ms == IN_2099
    assert entry.received == NOW
    assert abs(lane.hub.book.place(took.record.name) - NOW) < MINUTE
    off = [c for c in lane.hub.book.concerns() if c.kind == "clock-off"]
    assert {concern.rests_on[-1] for concern in off} >= {took.record.name, named.record.name}
    # it is taken once, today
    assert here(lane.hub.book) == {"shed": 7}
    # whoever names the lot later, on a clock that is six minutes slow, has the last word
    slow.clock = Fixed(NOW - 6 * MINUTE)
    await slow.replica.once()
    (anew,) = await slow.does(LotSet(lot=SQUASH, facts={"label": "as the keeper has it"}))
    assert anew.record.stamp.ms < NOW + MINUTE
    await agree(lane, phone, slow)
    lot = lane.hub.book.lot(SQUASH)
    assert lot is not None
    assert lot.facts["label"] == "as the keeper has it"
    # and nobody has taken the wild clock for the time: what comes next is stamped today
    (later,) = await lane.hub.write([Draft(body=StoreSet(store="attic", facts={"kind": "attic"}))])
    assert later.record.stamp.ms < NOW + 10 * MINUTE


async def test_two_names_given_at_one_stamp_are_the_same_everywhere_and_both_are_kept(
    lane: World,
) -> None:
    cook, teen = await lane.home("cook's"), await lane.home("teen's")
    given = []
    for home, label in ((cook, "one"), (teen, "other")):
        await home.replica.once()
        given += await home.does(LotSet(lot=SQUASH, facts={"label": label}))
    assert given[0].record.stamp == given[1].record.stamp
    await teen.replica.once()
    await agree(lane, cook, teen)
    for book in (lane.hub.book, await cook.book(), await teen.book()):
        lot = book.lot(SQUASH)
        assert lot is not None
        assert lot.facts["label"] == "other"  # the device that sorts last
        assert {e.record.name for e in given} <= {e.record.name for e in book.entries}


# -- one crate, two places ---------------------------------------------------------------------------


@pytest.mark.parametrize("settled_at", ["back-room", "cellar"])
async def test_a_crate_moved_to_two_places_is_asked_about_until_it_is_met(
    lane: World, settled_at: str
) -> None:
    keeper, gardener = await lane.home("keeper's"), await lane.home("gardener's")
    for home in (keeper, gardener):
        await home.replica.once()
    for home, to in ((keeper, "back-room"), (gardener, "cellar")):
        lane.clock.ms += 5 * MINUTE
        await home.does(Moved(lot=SQUASH, amount=jars(8), store="shed", to=to))
    await agree(lane, gardener, keeper)
    for book in (lane.hub.book, await keeper.book(), await gardener.book()):
        assert sum(here(book).values()) == 8
        assert all(parcel.n >= 0 for parcel in book.lots[SQUASH].parcels)
        (asked,) = [c for c in book.concerns() if c.kind == "moved-short"]
        assert asked.lot == SQUASH
    lane.clock.ms += 60 * MINUTE
    await gardener.does(Consumed(lot=SQUASH, amount=jars(1), store=settled_at))
    await agree(lane, gardener, keeper)
    for book in (lane.hub.book, await keeper.book()):
        assert here(book) == {settled_at: 7}
        assert "moved-short" not in {concern.kind for concern in book.concerns()}


# -- a part before the whole -------------------------------------------------------------------------


async def test_a_sack_split_before_it_is_heard_of_waits_and_comes_out_the_same_in_any_order(
    lane: World,
) -> None:
    scales, phone = await lane.home("scales"), await lane.home("phone")
    bag = Amount(unit="lb", n=20 * GRAIN)
    (sack,) = await phone.does(Received(food="oats", amount=bag, store="barn"))
    lane.clock.ms += 30 * MINUTE
    half = Amount(unit="lb", n=10 * GRAIN)
    draw = Draw(lot=f"{sack.record.name}:0", amount=bag, store="barn")
    buckets = tuple(Yield(food="oats", amount=half, store=f"kitchen/bucket-{n}") for n in (1, 2))
    (split,) = await scales.does(Repacked(draws=(draw,), yields=buckets))
    await scales.replica.once()
    (waits,) = [c for c in lane.hub.book.concerns() if c.kind == "unknown-lot"]
    assert waits.lot == f"{sack.record.name}:0"
    for n in (0, 1):
        bucket = lane.hub.book.lot(f"{split.record.name}:{n}")
        assert bucket is not None
        assert [(p.store, p.n) for p in bucket.parcels] == [(f"kitchen/bucket-{n + 1}", half.n)]
    lane.clock.ms += 120 * MINUTE
    await phone.replica.once()
    await agree(lane, scales, phone)
    assert "unknown-lot" not in {concern.kind for concern in lane.hub.book.concerns()}
    whole = lane.hub.book.lot(f"{sack.record.name}:0")
    assert whole is not None
    assert sum(parcel.n for parcel in whole.parcels) == 0
    entries = lane.hub.entries
    states = set()
    for order in itertools.islice(itertools.permutations(entries), 0, None, 7):
        book = Book()
        book.add(order)
        states.add(book.state_hash())
    assert states == {lane.hub.book.state_hash()}


# -- records of other versions -----------------------------------------------------------------------


def put_up(**more: str) -> PutUp:
    return PutUp(yields=(Yield(food="green beans", amount=jars(7), store="shed"),), **more)  # type: ignore[arg-type]


def plain(content: bytes) -> Plain:
    found: Plain = msgspec.json.decode(content)
    return found


async def test_a_put_up_of_last_year_says_not_recorded_and_never_a_usual_value(
    lane: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Last year's form knew neither altitude nor lid box, and called the method otherwise."""

    def second(record: Plain) -> Plain:
        body = dict(record["body"])
        if body["kind"] == "put_up" and "process" in body:
            body["method"] = body.pop("process")
        return {**record, "body": body}

    monkeypatch.setattr(codec, "FORMAT", 2)
    monkeypatch.setattr(codec, "LIFTS", (second,))
    monkeypatch.setattr("service.ledger.FORMAT", 2)
    new = put_up(method="pressure canner", altitude="2000 ft", lid_box="box 3")
    this_year = codec.encode(msgspec.structs.replace(said("member", 2, new), v=2))
    old = plain(codec.encode(said("member", 1, put_up())))
    last_year = msgspec.json.encode(
        {**old, "v": 1, "body": {**old["body"], "process": "water bath"}}, order="sorted"
    )
    clock, home = Fixed(NOW), tmp_path / "home"
    made = await assemble.make_home(home, "Lane", "Europe/London", [], clock, CountedIds())
    await made.close()
    for turn in range(3):  # live; taken up from what was put by; from the log alone
        async with assemble.open_home(home, clock, writing=True) as ledger:
            if turn == 0:
                receipts = await ledger.accept([last_year, this_year], "member")
                assert [receipt.state for receipt in receipts] == ["new", "new"]
            for seq, facts in ((1, {"method": "water bath"}),
                               (2, {"method": "pressure canner", "altitude": "2000 ft",
                                    "lid_box": "box 3"})):  # fmt: skip
                lot = ledger.book.lot(f"member:{seq}:0")
                assert lot is not None
                found = batch(ledger.book, lot, {})
                assert found is not None
                assert found.facts == facts
            entry = ledger.book.entry("member:1")
            assert entry is not None
            assert isinstance(entry.record.body, PutUp)
            assert (entry.record.body.altitude, entry.record.body.lid_box) == (None, None)
            contents = [row.content for row in await ledger.page(0, 100)]
            assert last_year in contents  # stored as it came, for ever
            await ledger.put_by()
        if turn == 1:
            monkeypatch.setattr(assemble, "program", lambda: "another")


async def test_what_an_older_program_put_by_is_dropped_and_worked_out_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock, home = Fixed(NOW), tmp_path / "home"
    made = await assemble.make_home(home, "Lane", "Europe/London", [], clock, CountedIds())
    await made.close()
    async with assemble.open_home(home, clock, writing=True) as ledger:
        for _ in range(30):
            await ledger.write([Draft(body=Received(food="oats", amount=jars(2), store="shed"))])
        await ledger.put_by()
        state = ledger.book.state_hash()
    raw = sqlite3.connect(home / LOG, isolation_level=None)
    raw.execute("UPDATE lots SET head = x'c0'")  # of a shape that this program does not read
    raw.execute("INSERT INTO lots VALUES ('ghost:1:0', 0, 0, NULL, x'c0')")
    raw.execute("UPDATE put_by SET thin = x'c0', code = 'older'")
    raw.close()
    for writing in (False, True, False):
        async with assemble.open_home(home, clock, writing=writing) as ledger:
            assert ledger.book.state_hash() == state
            await ledger.put_by()
    raw = sqlite3.connect(home / LOG)
    assert raw.execute("SELECT code FROM put_by").fetchall() == [(program(),)]
    assert raw.execute("SELECT count(*) FROM lots WHERE head = x'c0'").fetchone() == (0,)
    raw.close()


async def test_a_version_to_come_goes_through_every_hand_byte_for_byte_and_is_asked_about(
    lane: World,
) -> None:
    home, other = await lane.home(), await lane.home("slate")
    record = plain(codec.encode(said(home.joined.device, 1)))
    record["body"]["kind"] = "store_set"
    newer = msgspec.json.encode({**record, "v": 9, "mood": "good"}, order="sorted")
    # a newer program on the tablet has logged it; this one sends it on unread
    await home.replica.once()
    item = codec.take(newer)
    await home.store.append([Taken(item[0], newer, home.joined.device).item()], NOW)
    await agree(lane, home, other)
    for store in (lane.hub, home.store, other.store):
        assert newer in [row.content for row in await store.page(0, 100)]
    for book in (lane.hub.book, await other.book()):
        assert f"{home.joined.device}:1" in book.unread
        assert "unread-record" in {concern.kind for concern in book.concerns()}
    (mine,) = await home.does(StoreSet(store="attic", facts={"kind": "attic"}))
    assert mine.record.seq == 2  # its counter goes on past what it cannot read
    await agree(lane, home, other)
