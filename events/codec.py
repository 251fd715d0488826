"""Bytes to records and back: the canonical form, its digest, and what is refused.

A record's content is JSON in canonical form (RFC 8785). `read` is for what comes from outside and
is strict; `decode` is for what this log has stored and is fast. This does not judge what a record
says. Rule: what is stored is the canonical form of the whole that was sent, so that fields which
this program does not know are kept, and a record of a kind or version that it does not know is
kept too, as `Unread`.
"""

import json
import math
from hashlib import sha256
from typing import Annotated, Any, NoReturn

import msgspec

from events.kinds import MAX_COUNT, Device, Stamp, Word
from events.record import FORMAT, Record, Unread
from events.upcasts import LIFTS, lift

MAX_CONTENT = 256 * 1024
"""Bytes that one record may have."""

MAX_DEPTH = 16
"""Levels that one record may be nested; those of this program need six."""

_decode = msgspec.json.Decoder(Record).decode
_encode = msgspec.json.Encoder(order="sorted").encode


class Refused(ValueError):
    """Bytes that are no record; says in one sentence what was read."""


class _Kind(msgspec.Struct, frozen=True):
    kind: Word


class _Envelope(msgspec.Struct, frozen=True):
    """As much of a record as every version has: enough to keep one that cannot be read."""

    household: Word
    device: Device
    seq: Annotated[int, msgspec.Meta(ge=1, le=10**15 - 1)]
    stamp: Stamp
    body: _Kind
    v: Annotated[int, msgspec.Meta(ge=1, le=10_000)] = 1

    @property
    def name(self) -> str:
        return f"{self.device}:{self.seq}"


_envelopes = msgspec.json.Decoder(_Envelope)


def encode(record: Record) -> bytes:
    """A record's content in canonical form.

    Its numbers are all whole, so that sorting the keys is all there is to it; and sorting by code
    points is sorting by UTF-16 units below U+E000, whose first byte in UTF-8 is EE.
    """
    content = _encode(record)
    if not content.isascii() and max(content) >= 0xEE:
        return canonical(msgspec.to_builtins(record))
    return content


def digest(content: bytes) -> bytes:
    """SHA-256 of a record's content: tells a repeat from another fact under the same name."""
    return sha256(content).digest()


def decode(content: bytes) -> Record | Unread:
    """A stored record. What this program cannot read is `Unread`, never an error.

    Raises `Refused` where not even the name can be read: the stored bytes are damaged.
    """
    try:
        record = _decode(content)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return _unread_or_lifted(content)
    return record if record.v == FORMAT else _unread_or_lifted(content)


def read(content: bytes) -> Record | Unread:
    """A record from outside. Raises `Refused` with one sentence."""
    return take(content)[0]


def canonical_bytes(content: bytes) -> bytes:
    """What is stored of a record from outside. Raises `Refused` with one sentence."""
    return take(content)[1]


def take(content: bytes) -> tuple[Record | Unread, bytes]:
    """A record from outside and its content in canonical form. Raises `Refused`.

    The common case costs two passes in C: what a record encodes to again, byte for byte, is in
    canonical form, has no key twice, and nothing in it that the kinds do not allow.
    """
    if len(content) > MAX_CONTENT:
        raise Refused(
            f"This record has {len(content)} bytes; the most that one may have is {MAX_CONTENT}."
        )
    try:
        record = _decode(content)
        if record.v == FORMAT and encode(record) == content:
            return record, content
    except (msgspec.MsgspecError, UnicodeError, RecursionError):
        pass
    return _take_slowly(content)


def _take_slowly(content: bytes) -> tuple[Record | Unread, bytes]:
    whole = strict_json(content)
    if not isinstance(whole, dict):
        raise Refused("A record is a JSON object; this is something else.")
    stored = canonical(whole)
    envelope = _envelope(content)
    if envelope.v > FORMAT or envelope.body.kind not in KINDS:
        return _unread(envelope, stored), stored
    try:
        record = _known(content, envelope.v)
    except msgspec.ValidationError as wrong:
        raise Refused(f"Record {envelope.name} is not as it should be: {wrong}.") from None
    return record, stored


def strict_json(content: bytes) -> Any:
    """Plain values from JSON (RFC 8259 as RFC 7493 narrows it). Raises `Refused`.

    No key twice, no NUL, no lone surrogate, no whole number past 2**53 - 1, nothing infinite.
    """
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as wrong:
        raise Refused(f"Byte {wrong.start + 1} is not UTF-8; send a record as UTF-8.") from None
    try:
        value = json.loads(text, object_pairs_hook=_no_key_twice, parse_constant=_no_constant)
    except RecursionError:
        raise _too_deep() from None
    except Refused:
        raise
    except ValueError as wrong:
        raise Refused(f"This is not JSON: {str(wrong)[:200]}.") from None
    _check(value, MAX_DEPTH)
    return value


def canonical(value: Any) -> bytes:
    """Plain values in canonical form (RFC 8785). Raises `Refused` on what has none."""
    parts: list[str] = []
    _write(value, parts.append, MAX_DEPTH)
    return "".join(parts).encode("utf-8")


def _unread_or_lifted(content: bytes) -> Record | Unread:
    envelope = _envelope(content)
    if envelope.v < FORMAT and envelope.body.kind in KINDS:
        try:
            return _known(content, envelope.v)
        except msgspec.ValidationError:
            pass
    return _unread(envelope, content)


def _known(content: bytes, version: int) -> Record:
    if version == FORMAT:
        return _decode(content)
    return msgspec.convert(lift(json.loads(content), version, LIFTS), Record)


def _envelope(content: bytes) -> _Envelope:
    try:
        return _envelopes.decode(content)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as wrong:
        raise Refused(f"This is no record: {str(wrong)[:200]}.") from None


def _unread(envelope: _Envelope, content: bytes) -> Unread:
    return Unread(name=envelope.name, kind=envelope.body.kind, version=envelope.v, content=content)


def _kinds() -> frozenset[str]:
    body = next(field.type for field in msgspec.structs.fields(Record) if field.name == "body")
    return frozenset(str(kind.__struct_config__.tag) for kind in body.__args__)


KINDS = _kinds()
"""The kinds that this program knows, by their tags."""


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise Refused(f"The key {twice!a} stands twice in one object; say it once.")
    return found


def _no_constant(word: str) -> NoReturn:
    raise Refused(f"{word} is not a number that JSON has.")


def _too_deep() -> Refused:
    return Refused(f"This is nested more than {MAX_DEPTH} levels deep; no record is.")


def _too_large(value: float) -> Refused:
    return Refused(f"The number {str(value)[:40]} is past 2^53 - 1, the most that is exact.")


def _check(value: Any, levels: int) -> None:
    if levels < 0:
        raise _too_deep()
    if isinstance(value, str):
        _check_text(value)
    elif isinstance(value, dict):
        for key, part in value.items():
            _check_text(key)
            _check(part, levels - 1)
    elif isinstance(value, list):
        for part in value:
            _check(part, levels - 1)
    elif isinstance(value, int | float) and not abs(value) <= MAX_COUNT:
        raise _too_large(value)


def _check_text(text: str) -> None:
    if "\0" in text:
        raise Refused("A text here has a NUL (\\u0000) in it; leave it out.")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise _half_a_pair() from None


def _half_a_pair() -> Refused:
    return Refused("A text here has half of a surrogate pair in it; leave it out.")


def _write(value: Any, put: Any, levels: int) -> None:
    if levels < 0:
        raise _too_deep()
    if isinstance(value, dict):
        put("{")
        for count, key in enumerate(sorted(value, key=_utf16)):
            put(("," if count else "") + _text(key) + ":")
            _write(value[key], put, levels - 1)
        put("}")
    elif isinstance(value, list | tuple):
        put("[")
        for count, part in enumerate(value):
            put("," if count else "")
            _write(part, put, levels - 1)
        put("]")
    else:
        put(_single(value))


def _utf16(key: str) -> bytes:
    return key.encode("utf-16-be", "surrogatepass")


def _single(value: Any) -> str:
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int):
        if abs(value) > MAX_COUNT:
            raise _too_large(value)
        return str(value)
    if isinstance(value, float):
        return _number(value)
    raise Refused(f"JSON has no form for a {type(value).__name__}.")


def _text(text: str) -> str:
    try:
        return msgspec.json.encode(text).decode()
    except UnicodeEncodeError:
        raise _half_a_pair() from None


def _number(value: float) -> str:
    """As ECMAScript prints it: the shortest digits that read back the same."""
    if not math.isfinite(value):
        raise Refused("JSON has no form for a number that is not finite.")
    if value == 0:
        return "0"
    mantissa, _, power = f"{abs(value)!r}".partition("e")
    whole, _, part = mantissa.partition(".")
    digits = (whole + part).lstrip("0")
    point = len(whole) + int(power or 0) - (len(whole + part) - len(digits))
    digits = digits.rstrip("0")
    sign = "-" if value < 0 else ""
    if 0 < point <= 21:
        padded = digits.ljust(point, "0")
        return sign + padded[:point] + ("." + padded[point:] if padded[point:] else "")
    if -6 < point <= 0:
        return sign + "0." + "0" * -point + digits
    tail = "." + digits[1:] if digits[1:] else ""
    return f"{sign}{digits[0]}{tail}e{point - 1:+d}"
