"""Bytes to records and back.

A record's content is JSON in canonical form (RFC 8785). `read` is for what comes from outside and
is strict; `decode` is for what this log has stored and is fast. This does not judge what a record
says. Rule: what is stored is the canonical form of the whole that was sent, so that fields which
this program does not know are kept, and a record of a kind or version that it does not know is
kept too, as `Unread`.
"""

import json
from hashlib import sha256
from typing import Annotated

import msgspec

from events import forms
from events.canonical import Refused, canonical, strict_json
from events.kinds import Device, Stamp, Word
from events.record import FORMAT, Record, Unread
from events.upcasts import LIFTS, lift

__all__ = [
    "KINDS",
    "MAX_CONTENT",
    "Refused",
    "canonical",
    "canonical_bytes",
    "decode",
    "digest",
    "encode",
    "read",
    "take",
]

MAX_CONTENT = 256 * 1024
"""Bytes that one record may have."""

_decode = msgspec.json.Decoder(Record).decode
_encode = msgspec.json.Encoder(order="sorted").encode
_wrong_form = forms.checker(Record)
_BELOW_EE = bytes(range(0xEE))


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
_wrong_name = forms.checker(_Envelope)


def encode(record: Record) -> bytes:
    """A record's content in canonical form.

    Its numbers are all whole, so that sorting the keys is all there is to it; and sorting by code
    points is sorting by UTF-16 units below U+E000, whose first byte in UTF-8 is EE.
    """
    content = _encode(record)
    if not content.isascii() and content.translate(None, _BELOW_EE):
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

    The common case is cheap: what a record encodes to again, byte for byte, is in canonical form,
    has no key twice, and nothing in it that the kinds do not allow.
    """
    if len(content) > MAX_CONTENT:
        raise Refused(
            f"This record has {len(content)} bytes; the most that one may have is {MAX_CONTENT}."
        )
    try:
        record = _decode(content)
        if record.v == FORMAT and encode(record) == content and _wrong_form(record) is None:
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
    if (path := _wrong_name(envelope)) is not None:
        raise Refused(f"This is no record: `{path[1:]}` is {forms.said(envelope, path)}.")
    if envelope.v > FORMAT or envelope.body.kind not in KINDS:
        return _unread(envelope, stored), stored
    try:
        record = _known(content, envelope.v)
    except msgspec.ValidationError as wrong:
        raise Refused(f"Record {envelope.name} is not as it should be: {wrong}.") from None
    if (path := _wrong_form(record)) is not None:
        raise Refused(
            f"Record {envelope.name} is not as it should be: "
            f"`{path[1:]}` is {forms.said(record, path)[:100]}."
        )
    return record, stored


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
