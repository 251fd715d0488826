"""One suite for every replica's store: what `service.storage.outbox` promises, and what a store does."""

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from service.errors import HomeUnwritable, StoreError
from service.storage.outbox import Count, Placed, ReplicaStore, Said
from service.storage.outbox_sqlite import SqliteReplica
from service.storage.sqlite import open_reading, open_writing
from service.storage.store import Heard, Item, Outcome, Row
from tests.replica import MemoryReplica

NOW = 1_790_000_000_000


@pytest.fixture(params=["memory", "sqlite"])
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[ReplicaStore]:
    made: ReplicaStore = MemoryReplica()
    if request.param == "sqlite":
        made = SqliteReplica(await open_writing(tmp_path / "log.db", create=True))
    yield made
    await made.close()


def item(device: str, seq: int, content: bytes | None = None, sent_by: str | None = None) -> Item:
    said = f"{device} {seq}".encode() if content is None else content
    return Item(device, seq, said, sent_by or device)


def placed(position: int, device: str, seq: int, content: bytes | None = None) -> Placed:
    return Placed(position, NOW + position, item(device, seq, content, "hub"))


async def names(store: ReplicaStore, *states: str) -> list[str]:
    return [f"{w.item.device}:{w.item.seq}" for w in await store.outbox(states)]  # type: ignore[arg-type]


async def test_what_is_logged_waits_and_is_read_behind_the_log(store: ReplicaStore) -> None:
    assert await store.mirror([placed(1, "hub", 1), placed(2, "cook", 1)]) == 2
    outcomes = await store.append([item("barn", 1), item("barn", 2)], NOW)
    assert outcomes == [Outcome(3, "new"), Outcome(4, "new")]
    assert await store.page(0, 10) == [
        Row(1, NOW + 1, "hub", b"hub 1"),
        Row(2, NOW + 2, "hub", b"cook 1"),
        Row(3, NOW, "barn", b"barn 1"),
        Row(4, NOW, "barn", b"barn 2"),
    ]
    assert [row.position for row in await store.page(1, 2)] == [2, 3]
    assert [row.position for row in await store.page(3, 10)] == [4]
    assert await store.page(4, 10) == []
    assert await store.mirrored() == 2
    assert await names(store, "waiting") == ["barn:1", "barn:2"]
    assert await store.counts() == {"waiting": Count(2, NOW)}
    assert await store.devices() == {"hub": Heard(1), "cook": Heard(1), "barn": Heard(2)}


async def test_with_its_position_a_record_changes_over(store: ReplicaStore) -> None:
    await store.append([item("barn", 1), item("barn", 2)], NOW)
    await store.said([Said("barn", 1, "sent"), Said("barn", 2, "sent")])
    assert await names(store, "sent") == ["barn:1", "barn:2"]
    await store.mirror([placed(1, "hub", 1), placed(2, "barn", 1)])
    assert await names(store, "sent") == ["barn:2"]
    assert [row.content for row in await store.page(0, 10)] == [b"hub 1", b"barn 1", b"barn 2"]
    await store.mirror([placed(3, "barn", 2)])
    assert await store.counts() == {}
    assert len(await store.page(0, 10)) == 3


async def test_it_changes_over_though_no_answer_ever_came(store: ReplicaStore) -> None:
    await store.append([item("barn", 1)], NOW)
    await store.mirror([placed(1, "barn", 1)])
    assert await store.counts() == {}


async def test_entries_that_are_here_already_are_passed_over(store: ReplicaStore) -> None:
    first = [placed(1, "hub", 1), placed(2, "hub", 2)]
    assert await store.mirror(first) == 2
    assert await store.mirror([*first, placed(3, "hub", 3)]) == 1
    assert await store.mirror(first) == 0
    assert [row.position for row in await store.page(0, 10)] == [1, 2, 3]


async def test_a_gap_is_refused_whole(store: ReplicaStore) -> None:
    await store.mirror([placed(1, "hub", 1)])
    for torn in ([placed(3, "hub", 3)], [placed(2, "hub", 2), placed(4, "hub", 4)]):
        with pytest.raises(StoreError, match="missing"):
            await store.mirror(torn)
    assert await store.mirrored() == 1


async def test_another_content_under_its_name_sets_a_record_aside(store: ReplicaStore) -> None:
    await store.append([item("barn", 1, b"ate two"), item("barn", 2)], NOW)
    await store.mirror([placed(1, "barn", 1, b"ate three")])
    (aside,) = await store.outbox(["aside"])
    assert (aside.item.content, aside.reason is not None) == (b"ate two", True)
    assert [row.content for row in await store.page(0, 10)] == [b"ate three", b"barn 2"]
    (kept,) = await store.asides()
    assert (kept.device, kept.seq, kept.content) == ("barn", 1, b"ate two")
    assert await store.append([item("barn", 3)], NOW) == [Outcome(3, "new")]


async def test_what_was_refused_still_counts_here_and_keeps_why(store: ReplicaStore) -> None:
    await store.append([item("old", 7), item("barn", 1)], NOW)
    await store.said([Said("old", 7, "refused", "not yours to send")])
    (one,) = await store.outbox(["refused"])
    assert (one.reason, one.written) == ("not yours to send", NOW)
    assert len(await store.page(0, 10)) == 2
    await store.said([Said("nobody", 1, "refused", "x")])
    assert len(await store.page(0, 10)) == 2


async def test_a_repeat_is_known_wherever_it_is(store: ReplicaStore) -> None:
    await store.mirror([placed(1, "hub", 1)])
    await store.append([item("barn", 1)], NOW)
    again = await store.append([item("hub", 1), item("barn", 1), item("barn", 2)], NOW)
    assert again == [Outcome(1, "known"), Outcome(2, "known"), Outcome(3, "new")]
    other = await store.append([item("barn", 1, b"x"), item("hub", 1, b"y")], NOW)
    assert other == [Outcome(2, "aside"), Outcome(1, "aside")]
    assert [aside.content for aside in await store.asides()] == [b"x", b"y"]


async def test_the_outbox_is_read_a_part_at_a_time(store: ReplicaStore) -> None:
    await store.append([item("barn", n) for n in range(1, 8)], NOW)
    read, after = [], 0
    while part := await store.outbox(["waiting", "refused"], after, 3):
        assert len(part) <= 3
        read += [one.item.seq for one in part]
        after = part[-1].number
    assert read == [1, 2, 3, 4, 5, 6, 7]


async def test_started_over_nothing_is_lost(store: ReplicaStore) -> None:
    await store.mirror([placed(1, "hub", 1), placed(2, "barn", 1), placed(3, "cook", 1)])
    await store.append([item("barn", 2), item("barn", 3)], NOW)
    await store.said([Said("barn", 2, "sent")])
    await store.note({"service": "there"})
    await store.start_over(["barn"])
    assert await store.mirrored() == 0
    assert await store.meta() == {"service": "there"}
    assert sorted(row.content for row in await store.page(0, 10)) == [
        b"barn 1", b"barn 2", b"barn 3", b"cook 1", b"hub 1"]  # fmt: skip
    assert sorted(await names(store, "waiting")) == ["barn:1", "barn:2", "barn:3"]
    assert await names(store, "kept") == ["hub:1", "cook:1"]
    await store.mirror([placed(1, "barn", 1), placed(2, "hub", 1)])
    assert await names(store, "kept") == ["cook:1"]
    assert await names(store, "waiting", "sent") == ["barn:2", "barn:3"]


async def test_what_is_known_of_the_log_is_kept(store: ReplicaStore) -> None:
    await store.note({"contact": "1", "failure": "away"})
    await store.note({"contact": "2"})
    assert await store.meta() == {"contact": "2", "failure": "away"}


async def test_on_disk_a_replica_is_there_after_it_was_closed(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    store = SqliteReplica(await open_writing(path, create=True))
    await store.mirror([placed(1, "hub", 1)])
    await store.append([item("barn", 1)], NOW)
    await store.close()
    reading = SqliteReplica(await open_reading(path))
    assert [row.content for row in await reading.page(0, 10)] == [b"hub 1", b"barn 1"]
    with pytest.raises(HomeUnwritable, match="looking only"):
        await reading.mirror([placed(2, "barn", 1)])
    await reading.close()


@pytest.mark.parametrize("why", ["shut", "unwhole"])
async def test_where_nothing_may_be_logged_it_says_why(tmp_path: Path, why: str) -> None:
    store = SqliteReplica(await open_writing(tmp_path / "log.db", create=True))
    await store.note({why: "This device reads only."})
    with pytest.raises(HomeUnwritable, match="reads only"):
        await store.append([item("barn", 1)], NOW)
    await store.note({why: ""})
    await store.append([item("barn", 1)], NOW)
    await store.close()
