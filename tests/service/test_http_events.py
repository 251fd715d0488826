"""Records in and entries out, through the app: receipts, refusals, cursors, both forms."""

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from events import codec
from events.kinds import DeviceSet
from service.http.state import Serving
from service.sync.messages import JSON, MAX_BYTES, MAX_RECORDS, MSGPACK
from tests.serving import Served, beans, problem, said, serving, warmth

AS_JSON = {"Content-Type": JSON}


@pytest.fixture
async def served(tmp_path: Path) -> AsyncIterator[Served]:
    async with serving(tmp_path) as made:
        yield made


async def pull(served: Served, after: str | None = None, limit: int = 500) -> Any:
    asked = {"limit": str(limit), **({"after": after} if after is not None else {})}
    answer = await served.ask("GET", "/v1/events", params=asked)
    assert answer.status_code == 200, answer.text
    return answer.json()


# -- pushing -----------------------------------------------------------------------------------


async def test_a_push_says_of_each_record_what_became_of_it(served: Served) -> None:
    first, second = served.said(1, beans()), served.said(2)
    receipts = await served.push(first, second)
    assert [(r["state"], r["position"], r["reason"]) for r in receipts] == [
        ("new", 2, None),
        ("new", 3, None),
    ]
    again = await served.push(second, served.said(3))
    assert [(r["state"], r["position"]) for r in again] == [("known", 3), ("new", 4)]
    twin = await served.push(served.said(1, beans(5)))
    assert twin[0]["state"] == "aside"
    assert "set aside" in twin[0]["reason"]
    entry = served.ledger.book.entry(first.name)
    assert entry is not None
    assert (entry.sent_by, entry.record) == (served.devices["member"], first)


async def test_a_batch_with_one_bad_record_is_not_held_up_by_it(served: Served) -> None:
    good = [codec.encode(served.said(seq)) for seq in (1, 2)]
    device = served.devices["member"].encode()
    bad = [
        good[0].replace(b'"seq":1', b'"seq":"1"'),
        good[0].replace(b'"seq":1', b'"seq":1.0'),
        good[0].replace(b'"seq":1', b'"seq":%s' % (b"9" * 30)),
        good[0].replace(b'"barn"', b'"ba\\u0000rn"'),
        good[0].replace(b"household01", b"household02"),
        good[0].replace(b'"seq":1', b'"seq":1,"seq":1'),
        good[0].replace(b'"store_set"', b'["' + b"[" * 900 + b"]" * 900 + b'"]'),
        b'{"device":"%s","seq":1,"body":{"kind":"store_set"}}' % device,
        b"5",
        b"null",
        b'"text"',
    ]
    body = b"[" + b",".join([good[0], *bad, good[1]]) + b"]"
    answer = await served.ask("POST", "/v1/events", content=body, headers=AS_JSON)
    assert answer.status_code == 200, answer.text
    receipts = answer.json()
    assert len(receipts) == len(bad) + 2
    assert [receipts[0]["state"], receipts[-1]["state"]] == ["new", "new"]
    for told in receipts[1:-1]:
        assert told["state"] == "refused", told
        assert told["position"] is None
        assert 10 < len(told["reason"]) < 500
    assert served.ledger.position == 3


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"{", 400),
        (b"{}", 400),
        (b"[" * 100_000, 400),
        (b'[{"note":"\xff\xfe"}]', 400),
        (b"\xef\xbb\xbf[]", 400),
        (b"[]]", 400),
        (b'[{"note":"\\ud800"}]', 400),
        (b"[" + b"1," * MAX_RECORDS + b"1]", 413),
        (b"[" + b" " * MAX_BYTES + b"]", 413),
    ],
)
async def test_what_is_no_list_of_records_is_a_problem_and_writes_nothing(
    served: Served, body: bytes, status: int
) -> None:
    answer = await served.ask("POST", "/v1/events", content=body, headers=AS_JSON)
    assert answer.status_code == status
    problem(answer)
    assert served.ledger.position == 1


@pytest.mark.parametrize(
    "media", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
async def test_a_form_on_somebody_elses_page_cannot_push(served: Served, media: str) -> None:
    answer = await served.ask(
        "POST", "/v1/events", content=b"[]", headers={"Content-Type": media} if media else {}
    )
    assert answer.status_code == 415
    problem(answer)
    assert JSON in answer.headers["accept-post"]


async def test_messagepack_goes_both_ways(served: Served) -> None:
    record = served.said(1, beans())
    sent = [codec.encode(record), msgspec.json.decode(codec.encode(served.said(2)))]
    packed = {"Content-Type": MSGPACK, "Accept": MSGPACK}
    answer = await served.ask(
        "POST", "/v1/events", content=msgspec.msgpack.encode(sent), headers=packed
    )
    assert answer.headers["content-type"] == MSGPACK
    receipts: Any = msgspec.msgpack.decode(answer.content)
    assert [told["state"] for told in receipts] == ["new", "new"]
    answer = await served.ask("GET", "/v1/events", headers={"Accept": MSGPACK})
    page: Any = msgspec.msgpack.decode(answer.content)
    assert page["entries"][1]["record"] == codec.encode(record)
    for accept in (None, "*/*", "application/json", f"{JSON}, {MSGPACK};q=0.1", "text/html"):
        answer = await served.ask("GET", "/v1/events", headers={"Accept": accept} if accept else {})
        assert answer.headers["content-type"] == JSON, accept
        assert answer.headers["vary"] == "Accept"


async def test_pushes_that_arrive_together_are_all_there_once(served: Served) -> None:
    batches = [[served.said(seq) for seq in range(n, n + 5)] for n in range(1, 41)]
    answers = await asyncio.gather(*(served.push(*batch) for batch in batches))
    names = [told["name"] for receipts in answers for told in receipts if told["state"] == "new"]
    assert sorted(names) == sorted({f"{served.devices['member']}:{n}" for n in range(1, 45)})
    page = await pull(served)
    assert [entry["position"] for entry in page["entries"]] == list(range(1, 46))


async def test_a_clock_that_is_off_is_answered_with_a_redating(served: Served) -> None:
    ahead = msgspec.structs.replace(
        served.said(1), stamp=type(served.said(1).stamp)(served.clock.ms + 86_400_000, 0)
    )
    assert [told["state"] for told in await served.push(ahead)] == ["new"]
    page = await pull(served)
    assert [entry["record"]["body"]["kind"] for entry in page["entries"][1:]] == [
        "store_set",
        "redated",
    ]
    assert served.ledger.book.concerns()[0].kind == "clock-off"


# -- who pushes what -----------------------------------------------------------------------------


async def test_a_device_pushes_its_own_records_alone(served: Served) -> None:
    (told,) = await served.push(said("somebody", 1), role="keeper")
    assert told["state"] == "refused"
    own = served.ledger.household.device
    (told,) = await served.push(said(own, 9, DeviceSet(device=own, facts={})), role="keeper")
    assert told["state"] == "refused"
    assert served.ledger.position == 1


async def test_a_sensor_pushes_what_it_measured(served: Served) -> None:
    measured, other = served.said(1, warmth(), "sensor"), served.said(2, beans(), "sensor")
    told = await served.push(measured, other, role="sensor")
    assert [one["state"] for one in told] == ["new", "refused"]


# -- pulling -----------------------------------------------------------------------------------


async def test_pages_follow_one_another_to_the_end(served: Served) -> None:
    await served.push(*(served.said(seq) for seq in range(1, 8)))
    found, after, more = [], None, True
    while more:
        page = await pull(served, after, limit=3)
        found += [entry["position"] for entry in page["entries"]]
        after, more = page["next"], page["more"]
    assert found == list(range(1, 9))
    assert await pull(served, after) == {"aside": 0, "entries": [], "more": False, "next": after}
    await served.push(served.said(8))
    assert [entry["position"] for entry in (await pull(served, after))["entries"]] == [9]


async def test_what_is_pulled_is_what_was_stored_byte_for_byte(served: Served) -> None:
    record = served.said(1, beans())
    await served.push(record)
    answer = await served.ask("GET", "/v1/events")
    assert codec.encode(record) in answer.content


@pytest.mark.parametrize(
    ("after", "status", "says"),
    [
        ("other.1.0", 409, "another household"),
        ("household01.2.0", 409, "restored"),
        ("household01.1.99", 409, "past the end"),
        ("1", 400, "no cursor"),
        ("household01.1.1e3", 400, "no cursor"),
        ("\0", 400, "no cursor"),
    ],
)
async def test_a_cursor_of_another_log_is_told_what_to_do(
    served: Served, after: str, status: int, says: str
) -> None:
    for path in ("/v1/events", "/v1/events/stream"):
        answer = await served.ask("GET", path, params={"after": after})
        assert answer.status_code == status
        assert says in problem(answer)["detail"]
    answer = await served.ask("GET", "/v1/events/stream", headers={"Last-Event-ID": "other.1.0"})
    assert answer.status_code == 409


@pytest.mark.parametrize("limit", ["0", "-1", str(MAX_RECORDS + 1), "x", "1.5", "9" * 30, ""])
async def test_a_limit_is_a_number_in_bounds(served: Served, limit: str) -> None:
    answer = await served.ask("GET", "/v1/events", params={"limit": limit})
    assert answer.status_code == 400
    assert "limit" in problem(answer)["detail"]


# -- how often -----------------------------------------------------------------------------------


async def test_a_device_that_asks_without_end_is_told_to_wait(tmp_path: Path) -> None:
    from service.http.limits import Limits

    slow = Serving(limits=Limits(each_second=0.01, at_once=3))
    async with serving(tmp_path, slow) as served:
        answers = [await served.ask("GET", "/v1/events") for _ in range(4)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
        problem(answers[-1])
        assert 90 <= int(answers[-1].headers["retry-after"]) <= 100
        assert (await served.ask("GET", "/v1/events", "keeper")).status_code == 200
