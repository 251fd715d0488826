"""One suite for every store: what `service.storage.store.Store` promises."""

import asyncio
import tempfile
from collections.abc import AsyncIterator, Awaitable, Callable
from hashlib import sha256
from pathlib import Path
from typing import TypeAlias

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.storage.memory import MemoryStore
from service.storage.outbox_sqlite import SqliteReplica
from service.storage.sqlite import open_reading, open_writing
from service.storage.store import Aside, Heard, Item, Outcome, Row, Store, gaps
from tests.replica import MemoryReplica

NOW = 1_790_000_000_000
Making: TypeAlias = Callable[[Path], Awaitable[Store]]


async def memory(folder: Path) -> Store:
    return MemoryStore()


async def sqlite(folder: Path) -> Store:
    return await open_writing(folder / "log.db", create=True)


async def memory_replica(folder: Path) -> Store:
    return MemoryReplica()


async def sqlite_replica(folder: Path) -> Store:
    return SqliteReplica(await open_writing(folder / "log.db", create=True))


STORES: list[Making] = [memory, sqlite, memory_replica, sqlite_replica]


@pytest.fixture(params=STORES, ids=lambda make: make.__name__)
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    made: Store = await request.param(tmp_path)
    yield made
    await made.close()


def item(device: str, seq: int, content: bytes | None = None, sent_by: str | None = None) -> Item:
    said = f"{device} {seq}".encode() if content is None else content
    return Item(device, seq, said, sent_by or device)


async def everything(store: Store) -> list[Row]:
    return await store.page(0, 10_000)


async def test_a_new_store_is_empty(store: Store) -> None:
    assert await everything(store) == []
    assert await store.meta() == {}
    assert await store.devices() == {}
    assert await store.asides() == []


async def test_positions_count_from_one_without_gaps(store: Store) -> None:
    first = await store.append([item("cook", 1), item("cook", 2)], NOW)
    second = await store.append([item("teen", 1)], NOW + 5)
    assert [*first, *second] == [Outcome(1, "new"), Outcome(2, "new"), Outcome(3, "new")]
    assert await everything(store) == [
        Row(1, NOW, "cook", b"cook 1"),
        Row(2, NOW, "cook", b"cook 2"),
        Row(3, NOW + 5, "teen", b"teen 1"),
    ]


async def test_who_sent_it_is_kept_beside_who_wrote_it(store: Store) -> None:
    await store.append([item("cook", 1, sent_by="barn-box"), item("barn-box", 1)], NOW)
    assert [row.sent_by for row in await everything(store)] == ["barn-box", "barn-box"]


async def test_content_is_kept_byte_for_byte(store: Store) -> None:
    contents = [b"", bytes(range(256)), b'{"a":"\xc3\xa9"}', b"x" * 300_000]
    await store.append([item("cook", n, c) for n, c in enumerate(contents, 1)], NOW)
    assert [row.content for row in await everything(store)] == contents


async def test_a_repeat_is_known_and_changes_nothing(store: Store) -> None:
    await store.append([item("cook", 1), item("cook", 2)], NOW)
    before = await everything(store)
    again = await store.append([item("cook", 2, sent_by="teen"), item("cook", 1)], NOW + 9)
    assert again == [Outcome(2, "known"), Outcome(1, "known")]
    assert await everything(store) == before
    assert await store.asides() == []


async def test_a_repeat_within_one_append_is_known(store: Store) -> None:
    outcomes = await store.append([item("cook", 1), item("cook", 1), item("cook", 2)], NOW)
    assert outcomes == [Outcome(1, "new"), Outcome(1, "known"), Outcome(2, "new")]
    assert len(await everything(store)) == 2


async def test_what_is_new_among_repeats_gets_the_next_positions(store: Store) -> None:
    await store.append([item("cook", 1), item("cook", 3)], NOW)
    outcomes = await store.append([item("cook", n) for n in (1, 2, 3, 4)], NOW)
    assert outcomes == [
        Outcome(1, "known"),
        Outcome(3, "new"),
        Outcome(2, "known"),
        Outcome(4, "new"),
    ]


async def test_another_content_under_a_name_is_set_aside_and_the_first_stays(store: Store) -> None:
    await store.append([item("cook", 1, b"ate two")], NOW)
    other = item("cook", 1, b"ate three", sent_by="teen")
    outcomes = await store.append([other, item("cook", 2)], NOW + 5)
    assert outcomes == [Outcome(1, "aside"), Outcome(2, "new")]
    assert [row.content for row in await everything(store)] == [b"ate two", b"cook 2"]
    aside = Aside("cook", 1, sha256(b"ate three").digest(), NOW + 5, "teen", b"ate three")
    assert await store.asides() == [aside]


async def test_what_is_set_aside_is_kept_once_and_each_content_by_itself(store: Store) -> None:
    await store.append([item("cook", 1, b"a")], NOW)
    for content in (b"b", b"c", b"b"):
        assert await store.append([item("cook", 1, content)], NOW) == [Outcome(1, "aside")]
    asides = await store.asides()
    assert sorted(aside.content for aside in asides) == [b"b", b"c"]
    assert [aside.digest for aside in asides] == sorted(aside.digest for aside in asides)


async def test_two_contents_under_one_name_in_one_append(store: Store) -> None:
    outcomes = await store.append([item("cook", 1, b"a"), item("cook", 1, b"b")], NOW)
    assert outcomes == [Outcome(1, "new"), Outcome(1, "aside")]


async def test_pages_follow_each_other(store: Store) -> None:
    await store.append([item("cook", n) for n in range(1, 8)], NOW)
    pages = [[row.position for row in await store.page(after, 3)] for after in (0, 3, 6, 7, 99)]
    assert pages == [[1, 2, 3], [4, 5, 6], [7], [], []]


async def test_meta_is_written_with_the_records(store: Store) -> None:
    await store.append([item("cook", 1)], NOW, {"name": "Hollow Lane", "zone": "Europe/London"})
    await store.append([item("cook", 2)], NOW, {"zone": "Europe/Dublin"})
    await store.append([item("cook", 2), item("cook", 3)], NOW, {"epoch": "1"})
    expected = {"name": "Hollow Lane", "zone": "Europe/Dublin", "epoch": "1"}
    assert await store.meta() == expected
    assert await store.append([], NOW) == []
    assert await store.meta() == expected


async def test_devices_with_how_far_each_has_come_and_what_is_missing(store: Store) -> None:
    seqs = [("cook", 1), ("cook", 2), ("teen", 3), ("teen", 4), ("teen", 9), ("teen", 6)]
    await store.append([item(device, seq) for device, seq in seqs], NOW)
    await store.append([item("cook", 2, b"another")], NOW)
    assert await store.devices() == {
        "cook": Heard(2),
        "teen": Heard(9, ((1, 2), (5, 5), (7, 8))),
    }
    await store.append([item("teen", seq) for seq in (1, 2, 5, 7, 8)], NOW)
    assert await store.devices() == {"cook": Heard(2), "teen": Heard(9)}


async def test_a_device_that_only_sent_has_written_nothing(store: Store) -> None:
    await store.append([item("cook", 1, sent_by="barn-box")], NOW)
    assert set(await store.devices()) == {"cook"}


async def test_appends_at_the_same_time_are_each_whole(store: Store) -> None:
    batches = [[item(f"d{n}", seq) for seq in range(1, 6)] for n in range(20)]
    outcomes = await asyncio.gather(*(store.append(batch, NOW) for batch in batches))
    for batch in outcomes:
        assert [o.position for o in batch] == list(
            range(batch[0].position, batch[0].position + 5)
        ), "in one piece"
    assert [row.position for row in await everything(store)] == list(range(1, 101))


async def test_closing_twice_is_harmless(store: Store) -> None:
    await store.close()
    await store.close()


def test_gaps_between_counters() -> None:
    assert gaps([]) == ()
    assert gaps([1, 2, 3]) == ()
    assert gaps([2, 3, 7]) == ((1, 1), (4, 6))


batches = st.lists(
    st.lists(
        st.tuples(st.sampled_from("ab"), st.integers(1, 4), st.binary(max_size=1)), max_size=5
    ),
    max_size=6,
)


@settings(max_examples=30, deadline=None)
@given(batches)
def test_every_store_does_the_same(batches: list[list[tuple[str, int, bytes]]]) -> None:
    async def run(make: Making) -> object:
        with tempfile.TemporaryDirectory() as folder:
            store = await make(Path(folder))
            outcomes = [
                await store.append([item(*one) for one in batch], NOW + n)
                for n, batch in enumerate(batches)
            ]
            seen = (outcomes, await everything(store), await store.asides(), await store.devices())
            await store.close()
            return seen

    first, *others = (asyncio.run(run(make)) for make in STORES)
    assert all(other == first for other in others)


async def test_what_sqlite_acknowledged_is_there_after_opening_it_again(tmp_path: Path) -> None:
    store = await sqlite(tmp_path)
    await store.append([item("cook", 1), item("cook", 1, b"x")], NOW, {"name": "Hollow Lane"})
    seen = (await everything(store), await store.asides(), await store.meta())
    await store.close()
    for open_again in (open_reading, open_writing):
        again = await open_again(tmp_path / "log.db")
        assert (await everything(again), await again.asides(), await again.meta()) == seen
        await again.close()


async def test_a_reader_beside_the_writer_sees_what_was_acknowledged(tmp_path: Path) -> None:
    writer = await sqlite(tmp_path)
    await writer.append([item("cook", 1)], NOW)
    reader = await open_reading(tmp_path / "log.db")
    assert len(await everything(reader)) == 1
    await writer.append([item("newcomer", 1), item("cook", 2)], NOW)
    assert [row.sent_by for row in await everything(reader)] == ["cook", "newcomer", "cook"]
    await reader.close()
    await writer.close()
