"""What a replica begins with and holds its own beside: over HTTP."""

from collections.abc import AsyncIterator
from pathlib import Path

import msgspec
import pytest

from events import codec, merkle
from service.http.state import Serving
from service.storage.store import Aside
from service.sync import messages
from service.sync.messages import MAX_ASIDES, MSGPACK
from tests.serving import LOCAL, Served, beans, problem, serving


@pytest.fixture
async def served(tmp_path: Path) -> AsyncIterator[Served]:
    async with serving(tmp_path, Serving(local_token=LOCAL)) as made:
        yield made


async def test_where_no_book_is_put_by_there_is_no_snapshot(served: Served) -> None:
    answer = await served.ask("GET", "/v1/snapshot")
    assert (answer.status_code, problem(answer)["type"]) == (404, "/docs#not-found")


async def test_how_the_log_and_its_book_stand(served: Served) -> None:
    await served.push(served.said(1, beans()))
    told = (await served.ask("GET", "/v1/state")).json()
    contents = [row.content for row in await served.ledger.page(0, 100)]
    assert told["root"] == merkle.root(contents).hex()
    assert told["state"] == served.ledger.book.state_hash()
    assert told["cursor"] == f"household01.1.{len(contents)}"
    packed = await served.ask("GET", "/v1/state", headers={"Accept": MSGPACK})
    assert msgspec.msgpack.decode(packed.content) == told
    await served.push(served.said(2, beans()))
    assert (await served.ask("GET", "/v1/state")).json()["root"] != told["root"]


async def test_a_pull_says_how_much_was_set_aside_and_the_bytes_are_to_be_had(
    served: Served,
) -> None:
    assert (await served.ask("GET", "/v1/events")).json()["aside"] == 0
    assert (await served.ask("GET", "/v1/set-aside")).json() == {
        "set_aside": [], "next": "", "more": False}  # fmt: skip
    (first,) = await served.push(served.said(1, beans(3)))
    (second,) = await served.push(served.said(1, beans(4)))
    assert (first["state"], second["state"]) == ("new", "aside")
    for media in (messages.JSON, MSGPACK):
        pulled = await served.ask("GET", "/v1/events", headers={"Accept": media})
        decode = msgspec.msgpack.decode if media == MSGPACK else msgspec.json.decode
        assert decode(pulled.content)["aside"] == 1
    answer = await served.ask("GET", "/v1/set-aside")
    assert codec.encode(served.said(1, beans(4))) in answer.content
    (one,) = answer.json()["set_aside"]
    assert one["sent_by"] == served.devices["member"]
    packed = await served.ask("GET", "/v1/set-aside", headers={"Accept": MSGPACK})
    (same,) = msgspec.msgpack.decode(packed.content)["set_aside"]
    assert same["record"] == codec.encode(served.said(1, beans(4)))


@pytest.mark.parametrize("size", [10, messages.ASIDE_BYTES // 3])
def test_what_was_set_aside_comes_in_parts_each_once(size: int) -> None:
    asides = [
        Aside(device, seq, bytes([n]) * 32, 1, "hub", b"x" * size)
        for device in ("ab", "ab-c", "abc")
        for seq in (9, 10, 11)
        for n in range(30)
    ]
    found: list[Aside] = []
    mark, more, turns = "", True, 0
    while more:
        page = messages.aside_page(asides, mark)
        assert 0 < len(page.set_aside) <= MAX_ASIDES
        assert sum(len(aside.content) for aside in page.set_aside[:-1]) < messages.ASIDE_BYTES
        found += page.set_aside
        mark, more, turns = page.next, page.more, turns + 1
    assert turns > 2
    assert sorted(map(messages._mark, found)) == sorted(map(messages._mark, asides))
    assert messages.aside_page(asides, mark).set_aside == ()
