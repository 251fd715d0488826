"""Bytes to records and back; what is refused, and in which words."""

import json
import random
from typing import Any

import msgspec
import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from events import codec, upcasts
from events.canonical import strict_json
from events.kinds import GRAIN, Amount, Consumed, FoodSet, LotSet, Received, Stamp, StoreSet
from events.record import FORMAT, Record, Unread

BEANS = Record(
    household="7f3k2m9q",
    device="kitchen1",
    seq=12,
    stamp=Stamp(1_790_000_000_000, 3),
    at="2026-09-22T18:04:11+01:00",
    offset=60,
    body=Received(
        food="green beans",
        form="home-canned",
        amount=Amount(unit="qt", n=12 * GRAIN, said="12 qt"),
        store="back-room",
    ),
    by="gardener",
    note="the last of the “long” row — rained off",
)
PLAIN: dict[str, Any] = msgspec.to_builtins(BEANS)


PUT_UP: dict[str, Any] = {
    "kind": "put_up",
    "yields": [],
    "draws": [
        {"lot": "a:1:0", "amount": {"unit": "lb", "n": 5}},
        {"lot": "cabbage", "amount": {"unit": "lb", "n": 5}},
    ],
}


def rfc8785_bytes(value: Any) -> bytes:
    return rfc8785.dumps(value)


def changed(**fields: Any) -> bytes:
    return json.dumps({**PLAIN, **fields}, ensure_ascii=False).encode()


def test_a_record_comes_back_as_it_went() -> None:
    content = codec.encode(BEANS)
    assert codec.read(content) == BEANS
    assert codec.decode(content) == BEANS
    assert codec.canonical_bytes(content) == content
    assert codec.encode(codec.decode(content)) == content  # type: ignore[arg-type]


def test_the_canonical_form_agrees_with_the_referee() -> None:
    assert codec.encode(BEANS) == rfc8785_bytes(PLAIN)


def test_the_order_and_spacing_of_what_is_sent_make_no_difference() -> None:
    shuffled = dict(reversed(PLAIN.items()))
    spaced = json.dumps(shuffled, indent=3).encode()
    assert codec.canonical_bytes(spaced) == codec.encode(BEANS)
    assert codec.read(spaced) == BEANS


def test_the_digest_is_of_the_content() -> None:
    other = msgspec.structs.replace(BEANS, note="the first")
    assert codec.digest(codec.encode(BEANS)) != codec.digest(codec.encode(other))
    assert len(codec.digest(b"")) == 32
    assert codec.digest(b"").hex().startswith("e3b0c442")


def test_a_field_that_this_program_does_not_know_is_kept() -> None:
    body = {**PLAIN["body"], "ripeness": {"by": ["eye", 1.5]}}
    content = changed(body=body, weather="rain")
    stored = codec.canonical_bytes(content)
    assert json.loads(stored) == {**PLAIN, "body": body, "weather": "rain"}
    assert codec.read(content) == BEANS
    assert codec.decode(stored) == BEANS
    assert codec.canonical_bytes(stored) == stored


def test_a_kind_that_this_program_does_not_know_is_kept_byte_for_byte() -> None:
    sent = rfc8785_bytes({**PLAIN, "body": {"kind": "pickled_by_moonlight", "moon": [1, 2]}})
    read = codec.read(sent)
    assert read == Unread(name="kitchen1:12", kind="pickled_by_moonlight", version=1, content=sent)
    assert codec.decode(sent) == read


def test_a_newer_version_of_a_known_kind_is_kept_unread() -> None:
    sent = rfc8785_bytes({**PLAIN, "v": 2})
    read = codec.read(sent)
    assert isinstance(read, Unread)
    assert (read.kind, read.version, read.content) == ("received", 2, sent)
    assert codec.decode(sent) == read


def test_what_the_log_has_and_cannot_be_understood_is_unread_not_an_error() -> None:
    body = {"kind": "spoiled", "lot": "a:1:0", "amount": {"unit": "lb"}, "cause": "moonlight"}
    stored = rfc8785_bytes({**PLAIN, "body": body})
    assert isinstance(codec.decode(stored), Unread)
    with pytest.raises(codec.Refused, match=r"kitchen1:12 .*moonlight"):
        codec.read(stored)


def test_stored_bytes_without_a_name_are_damaged() -> None:
    with pytest.raises(codec.Refused, match="This is no record"):
        codec.decode(b"\x00\x01")


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "not JSON"),
        (b"{", "not JSON"),
        (b"[]", "JSON object"),
        (b"7", "JSON object"),
        (b"\xef\xbb\xbf" + codec.encode(BEANS), "not JSON"),
        (codec.encode(BEANS) + b"{}", "not JSON"),
        (codec.encode(BEANS).replace(b"rained", b"rain\xffd"), r"Byte \d+ is not UTF-8"),
        (codec.encode(BEANS).replace(b"rained", b"r\xed\xa0\x80d"), r"Byte \d+ is not UTF-8"),
        (codec.encode(BEANS).replace(b"rained", b"rain\\u0000ed"), "NUL"),
        (codec.encode(BEANS).replace(b"rained", b"rain\x00ed"), "not JSON"),
        (codec.encode(BEANS).replace(b"rained", b"rain\\ud800ed"), "surrogate"),
        (codec.encode(BEANS)[:-1] + b',"x":"\\udc00"}', "surrogate"),
        (codec.encode(BEANS)[:-1] + b',"x\\u0000":1}', "NUL"),
        (codec.encode(BEANS)[:-1] + b',"seq":12}', "'seq' stands twice"),
        (codec.encode(BEANS)[:-1] + b',"x":{"y":1,"y":1}}', "'y' stands twice"),
        (codec.encode(BEANS)[:-1] + b',"x":NaN}', "NaN is not a number"),
        (codec.encode(BEANS)[:-1] + b',"x":-Infinity}', "Infinity is not a number"),
        (codec.encode(BEANS)[:-1] + b',"x":1e999}', "past 2"),
        (codec.encode(BEANS)[:-1] + b',"x":9007199254740992}', "past 2"),
        (codec.encode(BEANS)[:-1] + b',"x":1e20}', "past 2"),
        (codec.encode(BEANS)[:-1] + b',"x":' + b"9" * 5000 + b"}", "not JSON"),
        (codec.encode(BEANS)[:-1] + b',"x":' + b"[" * 20 + b"]" * 20 + b"}", "levels deep"),
        (codec.encode(BEANS)[:-1] + b',"x":' + b"[" * 9999 + b"]" * 9999 + b"}", "levels deep"),
        (b'{"x":"' + b"y" * codec.MAX_CONTENT + b'"}', "bytes"),
        (changed(seq=12.0), "float"),
        (changed(seq="12"), "str"),
        (changed(seq=0), "seq"),
        (changed(v=0), "v"),
        (changed(v=1.0), "float"),
        (changed(stamp=[1.5, 0]), "float"),
        (changed(stamp=[2**48, 0]), "stamp"),
        (changed(device="Kitchen One"), "device"),
        (changed(device="kitchen1\n"), r"device.*kitchen1\\n"),
        (changed(at="last week"), r"\bat`"),
        (changed(explains="kitchen1:0"), r"explains`"),
        (changed(body={**PLAIN["body"], "store": "barn//top"}), r"body\.store`"),
        (changed(body={"kind": "lot_set", "lot": "7K3QF", "facts": {}}), r"body\.lot`"),
        (changed(body=PUT_UP), r"body\.draws\[1\]\.lot`"),
        (changed(body={"lot": "a:1:0"}), "kind"),
        (changed(body=None), "body"),
        (changed(body={**PLAIN["body"], "amount": {"unit": "qt", "n": -1}}), r"amount\.n"),
        (changed(body={**PLAIN["body"], "amount": {"unit": "qt", "n": 0.5}}), r"amount\.n"),
        (changed(body={**PLAIN["body"], "food": "x" * 201}), "food"),
    ],
)
def test_refused(content: bytes, sentence: str) -> None:
    with pytest.raises(codec.Refused, match=sentence) as refused:
        codec.read(content)
    told = str(refused.value)
    assert told.endswith(".")
    assert "\n" not in told
    with pytest.raises(codec.Refused):
        codec.canonical_bytes(content)


def test_a_missing_field_is_named() -> None:
    with pytest.raises(codec.Refused, match="household"):
        codec.read(json.dumps({k: v for k, v in PLAIN.items() if k != "household"}).encode())
    with pytest.raises(codec.Refused, match=r"kitchen1:12 .*`at`"):
        codec.read(json.dumps({k: v for k, v in PLAIN.items() if k != "at"}).encode())


def test_keys_sort_by_utf16_units() -> None:
    """U+1F34E sorts before U+FB33 by UTF-16 units, and after it by code points."""
    facts = {"\ufb33": "1", "\U0001f34e": "2", "é": "3", "a": "4"}
    record = msgspec.structs.replace(BEANS, body=FoodSet(food="apple", facts=facts))
    content = codec.encode(record)
    assert content == rfc8785_bytes(msgspec.to_builtins(record))
    assert content.index("\U0001f34e".encode()) < content.index("\ufb33".encode())
    assert codec.take(content) == (record, content)


def test_an_old_format_is_lifted_step_by_step() -> None:
    def second(record: upcasts.Plain) -> upcasts.Plain:
        return {"place": record["store"]}

    def third(record: upcasts.Plain) -> upcasts.Plain:
        return {**record, "sure": None}

    lifted = upcasts.lift({"store": "barn"}, 1, (second, third))
    assert lifted == {"place": "barn", "sure": None, "v": 3}
    assert upcasts.lift({"place": "barn", "v": 2}, 2, (second, third)) == lifted
    assert upcasts.lift(lifted, 3, (second, third)) == lifted


def test_there_is_a_lift_from_every_older_format() -> None:
    assert len(upcasts.LIFTS) == FORMAT - 1


def test_an_older_format_is_read_through_its_lifts(monkeypatch: pytest.MonkeyPatch) -> None:
    def second(record: upcasts.Plain) -> upcasts.Plain:
        body = dict(record["body"])
        body["food"] = body.pop("crop")
        return {**record, "body": body}

    monkeypatch.setattr(codec, "FORMAT", 2)
    monkeypatch.setattr(codec, "LIFTS", (second,))
    body = {k: v for k, v in PLAIN["body"].items() if k != "food"} | {"crop": "green beans"}
    old = rfc8785_bytes({**PLAIN, "v": 1, "body": body})
    lifted = msgspec.structs.replace(BEANS, v=2)
    assert codec.decode(old) == lifted
    assert codec.take(old) == (lifted, old)


text = st.text(st.characters(codec="utf-8", exclude_characters="\0"), min_size=1, max_size=30)
whole = st.integers(-(2**53) + 1, 2**53 - 1)
part = st.floats(allow_nan=False, allow_infinity=False, min_value=-9e15, max_value=9e15)
json_values = st.recursive(
    st.none() | st.booleans() | text | whole | part,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(text, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(text, json_values, max_size=5))
def test_any_plain_values_have_the_referees_canonical_form(value: dict[str, Any]) -> None:
    content = codec.canonical(value)
    assert content == rfc8785_bytes(value)
    assert codec.canonical(strict_json(content)) == content


@given(st.dictionaries(text, text, max_size=5), text, st.integers(1, 10**15 - 1))
def test_any_record_comes_back(facts: dict[str, str], note: str, seq: int) -> None:
    for body in (
        StoreSet(store="barn", facts=facts),
        LotSet(lot="a:1:0", facts=facts),
        Consumed(lot="a:1:0", amount=Amount(unit="lb", n=seq)),
    ):
        record = msgspec.structs.replace(BEANS, seq=seq, note=note, body=body)
        content = codec.encode(record)
        assert content == rfc8785_bytes(msgspec.to_builtins(record))
        assert codec.take(content) == (record, content)
        assert codec.decode(content) == record


@given(st.randoms(use_true_random=False), st.integers(1, 6))
def test_damaged_bytes_are_refused_or_read_and_never_anything_else(
    rng: random.Random, damages: int
) -> None:
    content = bytearray(codec.encode(BEANS))
    for _ in range(damages):
        content[rng.randrange(len(content))] = rng.randrange(256)
    try:
        _, stored = codec.take(bytes(content))
    except codec.Refused:
        return
    assert codec.canonical_bytes(stored) == stored
    codec.decode(stored)
