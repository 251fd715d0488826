"""The exchange without a wire: bodies to records, who may say what, cursors, pages."""

from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import codec
from service.access import Holder, Role
from service.drafts import Receipt
from service.errors import WrongUse
from service.storage.store import Row
from service.sync import exchange, messages
from service.sync.messages import JSON, MAX_BYTES, MAX_RECORDS, MSGPACK, Cursor, OtherLog, TooMuch
from tests.serving import said, warmth

HERE = Cursor("log-1", 2, 40)


def holder(role: Role = "member", device: str = "cook", *formerly: str) -> Holder:
    return Holder(
        device=device, role=role, member=None, name="a phone", formerly=frozenset(formerly)
    )


def contents(*seqs: int, device: str = "cook") -> list[bytes]:
    return [codec.encode(said(device, seq)) for seq in seqs]


# -- bodies ------------------------------------------------------------------------------------


def test_a_push_is_read_byte_for_byte() -> None:
    sent = contents(1, 2, 3)
    assert messages.read_push(b"[" + b",".join(sent) + b"]") == sent
    assert messages.read_push(msgspec.msgpack.encode(sent), MSGPACK) == sent
    maps = [msgspec.json.decode(one) for one in sent]
    assert messages.read_push(msgspec.msgpack.encode(maps), MSGPACK) == sent
    assert messages.read_push(b"[]") == []


@pytest.mark.parametrize(
    ("body", "media"),
    [
        (b"", JSON),
        (b"{}", JSON),
        (b"[1,", JSON),
        (b'"record"', JSON),
        (b"[" * 100_000, JSON),
        (b'[{"a":' * 50_000, JSON),
        (b'[{"note":"\xff"}]', JSON),
        (b"", MSGPACK),
        (b"\xc1", MSGPACK),
        (b"\x91" * 100_000, MSGPACK),
        (msgspec.msgpack.encode({"a": 1}), MSGPACK),
        (msgspec.msgpack.encode([1, 2]), MSGPACK),
        (msgspec.msgpack.encode([{"n": 2**60}]), MSGPACK),
        (msgspec.msgpack.encode([{"n": float("nan")}]), MSGPACK),
        (msgspec.msgpack.encode([{"n": b"bytes"}]), MSGPACK),
        (msgspec.msgpack.encode([{1: 2}]), MSGPACK),
        (b"\x91\x81\xa1n\xd6\xff\x00\x00\x00\x00", MSGPACK),
    ],
)
def test_what_is_no_list_of_records_is_told_in_a_sentence(body: bytes, media: str) -> None:
    with pytest.raises(WrongUse) as wrong:
        messages.read_push(body, media)
    assert wrong.value.sentence.endswith(".")
    assert len(wrong.value.sentence) < 400


def test_too_much_at_once_is_sent_in_parts() -> None:
    with pytest.raises(TooMuch, match="in parts"):
        messages.read_push(b"[" + b",".join([b"1"] * (MAX_RECORDS + 1)) + b"]")
    with pytest.raises(TooMuch, match="in parts"):
        messages.read_push(b" " * (MAX_BYTES + 1))
    assert len(messages.read_push(b"[" + b",".join([b"1"] * MAX_RECORDS) + b"]")) == MAX_RECORDS


@given(st.binary(max_size=200), st.sampled_from([JSON, MSGPACK]))
def test_no_body_breaks_it(body: bytes, media: str) -> None:
    try:
        found = messages.read_push(body, media)
    except WrongUse:
        return
    assert all(isinstance(one, bytes) for one in found)


# -- who may say what --------------------------------------------------------------------------


def test_a_device_pushes_its_own_records_alone() -> None:
    mixed = [*contents(1), *contents(1, device="teen"), *contents(2)]
    judged = exchange.judge(mixed, holder())
    assert judged.allowed == [mixed[0], mixed[2]]
    assert list(judged.refused) == [1]
    assert judged.refused[1].name == "teen:1"
    assert "each device pushes its own" in str(judged.refused[1].reason)


def test_with_a_keepers_consent_an_old_outbox_is_handed_over_under_its_old_name() -> None:
    old = contents(1, device="old-phone")
    assert exchange.judge(old, holder()).allowed == []
    assert exchange.judge(old, holder("member", "cook", "old-phone")).allowed == old


def test_a_sensor_says_what_it_measured_and_nothing_else() -> None:
    measured = codec.encode(said("cook", 1, warmth()))
    judged = exchange.judge([measured, *contents(2)], holder("sensor"))
    assert judged.allowed == [measured]
    assert list(judged.refused) == [1]


def test_what_cannot_be_read_is_left_to_the_ledger_to_refuse() -> None:
    odd = [b"1", b"{}", b'{"device":5}', b"[[[", b'{"device":"cook","seq":1,"body":3}']
    judged = exchange.judge(odd, holder("sensor"))
    assert judged.allowed == odd


@given(st.lists(st.booleans(), max_size=12))
def test_each_record_gets_its_own_receipt_in_its_place(own: list[bool]) -> None:
    sent = [
        codec.encode(said("cook" if mine else "teen", number)) for number, mine in enumerate(own, 1)
    ]
    judged = exchange.judge(sent, holder())
    given_back = [
        Receipt(state="new", name=f"cook:{msgspec.json.decode(one)['seq']}")
        for one in judged.allowed
    ]
    receipts = judged.receipts(given_back)
    assert [r.name for r in receipts] == [
        f"{'cook' if mine else 'teen'}:{number}" for number, mine in enumerate(own, 1)
    ]
    assert [r.state == "new" for r in receipts] == own


# -- cursors -----------------------------------------------------------------------------------


def test_a_cursor_is_read_back_from_its_text() -> None:
    for log in ("log-1", "a.b", "x"):
        at = Cursor(log, 3, 17)
        assert messages.cursor(str(at)) == at


@pytest.mark.parametrize(
    "text",
    ["", "5", "log.1", ".1.1", "log.1.x", "log.-1.1", "log.1.1_0", "log.1.٣", f"l.1.{'9' * 16}"],
)
def test_what_is_no_cursor_is_told_in_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="is no cursor"):
        messages.cursor(text)


def test_reading_begins_where_the_cursor_stands() -> None:
    assert exchange.begin(None, HERE) == 0
    assert exchange.begin(Cursor("log-1", 2, 17), HERE) == 17
    assert exchange.begin(HERE, HERE) == 40


@pytest.mark.parametrize(
    ("cursor", "says"),
    [
        (Cursor("other", 2, 1), "another household's log"),
        (Cursor("log-1", 1, 1), "restored since"),
        (Cursor("log-1", 3, 1), "restored since"),
        (Cursor("log-1", 2, 41), "past the end"),
    ],
)
def test_a_cursor_of_another_log_never_begins_anew_in_silence(cursor: Cursor, says: str) -> None:
    with pytest.raises(OtherLog, match=says):
        exchange.begin(cursor, HERE)


# -- pages -------------------------------------------------------------------------------------


def rows(first: int, count: int) -> list[Row]:
    return [
        Row(position, 1000 + position, "cook", content)
        for position, content in enumerate(contents(*range(1, count + 1)), first)
    ]


def test_a_page_splices_the_stored_bytes() -> None:
    page = exchange.page(rows(18, 3), 17, HERE)
    assert (page.next, page.more) == ("log-1.2.20", True)
    body = messages.write_page(page)
    for row in page.entries:
        assert row.content in body
    told: Any = msgspec.json.decode(body)
    assert [entry["position"] for entry in told["entries"]] == [18, 19, 20]
    assert told["entries"][0]["sent_by"] == "cook"
    assert told["entries"][0]["received"] == 1018
    assert told["entries"][0]["record"]["device"] == "cook"
    packed: Any = msgspec.msgpack.decode(messages.write_page(page, MSGPACK))
    assert [entry["record"] for entry in packed["entries"]] == [r.content for r in page.entries]
    assert (packed["next"], packed["more"]) == (told["next"], told["more"])


def test_nothing_new_leaves_the_cursor_where_it_was() -> None:
    page = exchange.page([], 40, HERE)
    assert (page.next, page.more, page.entries) == ("log-1.2.40", False, ())
    assert messages.write_page(page) == b'{"aside":0,"entries":[],"more":false,"next":"log-1.2.40"}'
