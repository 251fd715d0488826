"""A new replica: the service's book taken up instead of years folded, and all held beside it."""

import gzip
import io
import sqlite3
import struct
from collections.abc import AsyncIterator, Callable
from contextlib import closing
from pathlib import Path
from typing import IO

import httpx
import msgspec
import pytest

from events.book import Book
from events.kinds import GRAIN, Amount, Consumed, Received
from service import access, assemble
from service.assemble import LOG, MirrorHome
from service.clock import CountedIds, Fixed, RandomIds
from service.drafts import Draft
from service.errors import Unreachable
from service.http.app import make_app
from service.ledger import Ledger
from service.settings import Settings
from service.storage.shelf import Part
from service.sync import beginning, snapshot
from service.sync.beginning import Begun, Hub, begin
from service.sync.client import Client
from service.sync.replica import Replica
from service.sync.standing import Stand
from service.sync.ticket import Ticket
from tests.serving import _quick

NOW = 1_790_000_000_000
URL = "http://hub.local:8470"


class Pair:
    """A service over a home on disk, and a replica's home that was paired with it."""

    def __init__(self, hub: Ledger, home: Path, client: Client) -> None:
        self.hub = hub
        self.path = home
        self.client = client
        self.home = MirrorHome(home, Fixed(NOW))
        self.replica = Replica(self.home.opening, client, Fixed(NOW))

    async def begun(self, client: Hub | None = None) -> Begun:
        await self.replica.once()
        return await begin(self.home, self.replica, client or self.client)

    async def does(self, jars: int) -> None:
        """A deed here, that waits."""
        async with assemble.open_home(self.path, Fixed(NOW), writing=True) as ledger:
            await ledger.write([Draft(body=Consumed(lot=LOT, amount=qt(jars), store="barn"))])

    async def state(self) -> str:
        async with assemble.open_home(self.path, Fixed(NOW), writing=False) as ledger:
            return ledger.book.state_hash()

    async def agree(self) -> None:
        assert await self.state() == self.hub.book.state_hash()
        async with self.home.opening(False) as store:
            assert await store.page(0, 10_000) == await self.hub.page(0, 10_000)

    def sql(self, text: str, *values: object) -> list[tuple[object, ...]]:
        with closing(sqlite3.connect(self.path / LOG, isolation_level=None)) as raw:
            return raw.execute(text, values).fetchall()


def qt(n: int) -> Amount:
    return Amount(unit="jar", n=n * GRAIN)


LOT = "device02:5:0"
"""Four jars of the fourth food, of which nothing was eaten"""


async def fills(hub: Ledger, lots: int = 40) -> None:
    """Lots, most of them eaten up: closed ones and open ones."""
    bringing = [Draft(body=Received(food=f"food {n}", amount=qt(n + 1), store="barn"))
                for n in range(lots)]  # fmt: skip
    brought = await hub.write(bringing, deed=False)
    eaten = [Draft(body=Consumed(lot=f"{entry.record.name}:0", amount=qt(n + 1), store="barn"))
             for n, entry in enumerate(brought) if n % 3]  # fmt: skip
    await hub.write(eaten, deed=False)


@pytest.fixture
async def pair(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Pair]:
    monkeypatch.setattr("service.access.hashlib.scrypt", _quick)
    clock, home = Fixed(NOW), tmp_path / "A"
    made = await assemble.make_home(home, "Hollow Lane", "Europe/London", [], clock, CountedIds())
    await made.close()
    async with assemble.open_home(home, clock, writing=True, alone=True) as hub:
        await fills(hub)
        with closing(access.at(home, clock, RandomIds())) as doors:
            app = make_app(hub, doors, Settings(home=home, now_ms=NOW))
            transport = httpx.ASGITransport(app)  # type: ignore[arg-type]
            made_device = await doors.redeem((await doors.pair(name="tablet")).code)
            async with Client(URL, transport=transport) as client:
                code = (await doors.pair(name="tablet")).code
                joined = await client.join(code)
            assert made_device.token != joined.token
            ticket = Ticket(url=URL, joined=joined)
            await assemble.make_replica(tmp_path / "B", ticket.meta())
            async with Client(URL, joined.token, transport=transport) as client:
                yield Pair(hub, tmp_path / "B", client)
            app.state.before.standing.close()
    assert not (home / "snapshot.gz").exists()


@pytest.fixture
def folded(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many entries each book was given to fold."""
    given: list[int] = []
    really = Book.add

    def add(self: Book, entries: object) -> None:
        told = list(entries)  # type: ignore[call-overload]
        given.append(len(told))
        really(self, told)

    monkeypatch.setattr(Book, "add", add)
    return given


# -- taken up ----------------------------------------------------------------------------------------


async def test_the_services_book_is_taken_up_and_nothing_is_folded(
    pair: Pair, folded: list[int]
) -> None:
    begun = await pair.begun()
    assert begun == Begun(snapshot=True, checked=True)
    assert folded == []
    await pair.agree()
    assert folded == []
    assert not list(pair.path.glob("*tmp*"))


async def test_what_came_after_the_snapshot_is_read_on(pair: Pair, folded: list[int]) -> None:
    await pair.client.snapshot(pair.home.program, io.BytesIO())  # made now, a little old then
    await fills(pair.hub, 9)
    folded.clear()
    begun = await pair.begun()
    assert begun == Begun(snapshot=True, checked=True)
    assert sum(folded) == 9 + 6
    await pair.agree()


async def test_a_snapshot_of_a_longer_log_is_met_by_another_pull(pair: Pair) -> None:
    await pair.replica.once()
    await fills(pair.hub, 9)
    begun = await begin(pair.home, pair.replica, pair.client)
    assert begun == Begun(snapshot=True, checked=True)
    await pair.agree()


async def test_what_waits_here_changes_nothing_about_it(pair: Pair, folded: list[int]) -> None:
    await pair.replica.once()
    await pair.does(1)
    folded.clear()
    begun = await begin(pair.home, pair.replica, pair.client)
    assert begun == Begun(snapshot=True, checked=True)
    folded.clear()
    async with assemble.open_home(pair.path, Fixed(NOW), writing=False) as ledger:
        lot = ledger.book.lot(LOT)
        assert lot is not None
        assert sum(parcel.n for parcel in lot.parcels) == 3 * GRAIN
    assert folded == [1]


async def test_a_replica_that_grows_while_something_waits_is_put_by_all_the_same(
    pair: Pair, folded: list[int]
) -> None:
    await pair.begun()
    await pair.does(1)
    async with pair.home.opening(True) as store:
        (one,) = await store.outbox(["waiting"])
        await store.start_over([])  # nothing of it goes out: it is kept here for ever
        assert one.item.seq == 1
    await pair.replica.once(refused=False)
    await fills(pair.hub)
    await pair.replica.once(refused=False)
    await pair.home.put_by()
    folded.clear()
    async with assemble.open_home(pair.path, Fixed(NOW), writing=False):
        pass
    assert sum(folded) <= 1


# -- not taken up ------------------------------------------------------------------------------------


async def test_another_programs_book_is_not_taken_up(
    pair: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.assemble.program", lambda: "another")
    other = MirrorHome(pair.path, Fixed(NOW))
    await pair.replica.once()
    begun = await begin(other, pair.replica, pair.client)
    assert begun == Begun(snapshot=False, checked=True, said=beginning.OTHER_PROGRAM)
    assert pair.sql("SELECT DISTINCT code FROM put_by") == [("another",)]
    # and the same when the service is not told which
    stubborn = Altered(pair.client)
    stubborn.program = None
    pair.sql("DELETE FROM put_by")
    begun = await begin(other, pair.replica, stubborn)
    assert begun == Begun(snapshot=False, checked=True, said=beginning.OTHER_PROGRAM)


async def test_an_older_book_is_dropped_whole(pair: Pair) -> None:
    """What an older program put by has another shape; none of its rows is left."""
    await pair.begun()
    pair.sql("UPDATE put_by SET code = 'older'")
    pair.sql("INSERT INTO lots VALUES ('ghost:1:0', 0, 0, NULL, x'00')")
    begun = await pair.begun()
    assert begun == Begun(snapshot=True, checked=True)
    assert pair.sql("SELECT count(*) FROM lots WHERE name = 'ghost:1:0'") == [(0,)]
    await pair.agree()


class Altered:
    """The service over a way that alters its snapshot."""

    def __init__(self, client: Client, alter: Callable[[bytes], bytes] = lambda b: b) -> None:
        self._client = client
        self._alter = alter
        self.program: str | None = "as it is"

    async def stand(self) -> Stand:
        return await self._client.stand()

    async def snapshot(self, program: str, to: IO[bytes]) -> bool:
        whole = io.BytesIO()
        named = REAL() if self.program is None else program
        found = await self._client.snapshot(named, whole)
        to.write(self._alter(whole.getvalue()))
        return found


REAL = assemble.program


def cut(content: bytes) -> bytes:
    return content[: len(content) // 2]


def flipped(content: bytes) -> bytes:
    middle = len(content) // 2
    return content[:middle] + bytes([content[middle] ^ 1]) + content[middle + 1 :]


def frames(content: bytes) -> list[bytes]:
    plain, found = gzip.decompress(content), []
    while plain:
        (size,) = struct.unpack(">I", plain[:4])
        found.append(plain[4 : 4 + size])
        plain = plain[4 + size :]
    return found


def framed(parts: list[bytes]) -> bytes:
    return gzip.compress(b"".join(struct.pack(">I", len(part)) + part for part in parts))


def last_sum(content: bytes) -> bytes:
    """All there, and the sum over it another."""
    return content[:-8] + bytes([content[-8] ^ 1]) + content[-7:]


def and_more(content: bytes) -> bytes:
    return framed([*frames(content), b"more"])


def without_a_part(content: bytes) -> bytes:
    head, _, *rest = frames(content)
    return framed([head, *rest])


def without_its_end(content: bytes) -> bytes:
    return framed(frames(content)[:-1])


def too_long(content: bytes) -> bytes:
    return gzip.compress(struct.pack(">I", 2**32 - 1) + content)


def elsewhere(content: bytes) -> bytes:
    """A part for a table that holds no book."""
    head, first, *rest = frames(content)
    part = msgspec.msgpack.decode(first, type=Part)
    return framed([head, msgspec.msgpack.encode(Part("entries", part.rows)), *rest])


def narrow(content: bytes) -> bytes:
    """Rows of another shape."""
    head, first, *rest = frames(content)
    part = msgspec.msgpack.decode(first, type=Part)
    rows = [row[:-1] for row in part.rows]
    return framed([head, msgspec.msgpack.encode(Part(part.table, rows)), *rest])


def other_form(content: bytes) -> bytes:
    head, *rest = frames(content)
    read = msgspec.msgpack.decode(head, type=snapshot.Head)
    return framed([msgspec.msgpack.encode(msgspec.structs.replace(read, form=1)), *rest])


def other_log(content: bytes) -> bytes:
    head, *rest = frames(content)
    read = msgspec.msgpack.decode(head, type=snapshot.Head)
    return framed([msgspec.msgpack.encode(msgspec.structs.replace(read, cursor="x.1.3")), *rest])


def further(content: bytes) -> bytes:
    """A book that says it stands where the log here has not come to."""
    head, *parts, end = frames(content)
    read = [msgspec.msgpack.decode(one, type=Part) for one in parts]
    raised = [
        Part(
            p.table, [(row[0], 10**6, row[2]) for row in p.rows] if p.table == "put_by" else p.rows
        )
        for p in read
    ]
    return framed([head, *map(msgspec.msgpack.encode, raised), end])


@pytest.mark.parametrize(
    "alter",
    [cut, flipped, last_sum, and_more, without_a_part, without_its_end, too_long, elsewhere, narrow, other_form,
     other_log, further],
)  # fmt: skip
async def test_what_is_no_whole_snapshot_of_this_log_is_not_taken_and_the_log_is_folded(
    pair: Pair, alter: Callable[[bytes], bytes]
) -> None:
    begun = await pair.begun(Altered(pair.client, alter))
    assert (begun.snapshot, begun.checked, begun.wrong) == (False, True, False)
    assert "worked out from the log" in (begun.said or "")
    await pair.agree()


async def test_a_snapshot_that_tells_another_story_is_thrown_away_and_that_is_said(
    pair: Pair,
) -> None:
    """Whole, of the same program and position, and one lot is not as the log has it."""

    def other_lot(content: bytes) -> bytes:
        head, *parts, end = frames(content)
        read = [msgspec.msgpack.decode(one, type=Part) for one in parts]
        lots = next(part for part in read if part.table == "lots" and len(part.rows) > 1)
        (first, second, *rest) = lots.rows
        lots.rows[:] = [(*first[:-1], second[-1]), (*second[:-1], first[-1]), *rest]
        return framed([head, *map(msgspec.msgpack.encode, read), end])

    begun = await pair.begun(Altered(pair.client, other_lot))
    assert begun == Begun(snapshot=False, checked=True, said=beginning.THROWN_AWAY)
    await pair.agree()


async def test_rows_that_cannot_be_read_are_thrown_away_too(pair: Pair) -> None:
    def garbled(content: bytes) -> bytes:
        head, *parts, end = frames(content)
        read = [msgspec.msgpack.decode(one, type=Part) for one in parts]
        for part in read:
            if part.table == "lots":
                part.rows[:] = [(*row[:-1], b"\x93\x01\x02\x03") for row in part.rows]
        return framed([head, *map(msgspec.msgpack.encode, read), end])

    begun = await pair.begun(Altered(pair.client, garbled))
    assert begun == Begun(snapshot=False, checked=True, said=beginning.THROWN_AWAY)
    await pair.agree()


async def test_a_line_that_breaks_leaves_a_home_that_goes_on(pair: Pair) -> None:
    class Broken(Altered):
        async def snapshot(self, program: str, to: IO[bytes]) -> bool:  # type: ignore[explicit-override]
            to.write(b"\x1f\x8b half of it")
            raise Unreachable("The line went dead.")

    with pytest.raises(Unreachable):
        await pair.begun(Broken(pair.client))
    assert pair.sql("SELECT count(*) FROM put_by") == [(0,)]
    assert not [path for path in pair.path.iterdir() if not path.name.startswith("log.")]
    assert await pair.begun() == Begun(snapshot=True, checked=True)
    await pair.agree()


# -- what is held beside the service's ------------------------------------------------------------------


async def test_an_entry_that_is_another_here_is_found_out(pair: Pair) -> None:
    await pair.begun()
    pair.sql(
        "UPDATE entries SET content = CAST(replace(CAST(content AS TEXT), 'food 7', 'food 8') AS BLOB)"
    )
    begun = await begin(pair.home, pair.replica, pair.client)
    assert begun.wrong
    assert "--rebuild" in (begun.said or "")
    assert not begun.checked
    await pair.replica.rebuild()
    assert (await begin(pair.home, pair.replica, pair.client)).checked
    async with assemble.open_home(pair.path, Fixed(NOW), writing=False) as ledger:
        assert "same-name" in {concern.kind for concern in ledger.book.concerns()}


async def test_a_book_that_comes_out_otherwise_than_the_services_is_said(
    pair: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    await pair.replica.once()
    told = await pair.client.stand()

    class Other(Altered):
        async def stand(self) -> Stand:  # type: ignore[explicit-override]
            return msgspec.structs.replace(told, state="0" * 64)

    begun = await pair.begun(Other(pair.client))
    assert (begun.wrong, begun.checked, begun.snapshot) == (True, False, False)
    assert begun.said == beginning.OTHER_STATE


async def test_a_log_that_grows_all_the_while_is_held_beside_it_later(pair: Pair) -> None:
    class Growing(Altered):
        async def stand(self) -> Stand:  # type: ignore[explicit-override]
            told = await pair.client.stand()
            await fills(pair.hub, 1)
            await pair.replica.once()
            return told

    begun = await pair.begun(Growing(pair.client))
    assert begun == Begun(snapshot=True, checked=False, said=beginning.GROWS)
    assert (await pair.begun()).checked


async def test_the_services_own_word_is_of_one_moment_and_reckoned_once(
    pair: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = await pair.client.stand()
    assert told.cursor == f"household01.1.{pair.hub.position}"
    assert told.state == pair.hub.book.state_hash()
    calls: list[int] = []
    really = Book.state_hash

    def counted(self: Book) -> str:
        calls.append(1)
        return really(self)

    monkeypatch.setattr(Book, "state_hash", counted)
    assert await pair.client.stand() == told
    assert calls == []
    await fills(pair.hub, 1)
    assert (await pair.client.stand()).root != told.root
    assert calls == [1]
