"""A book put by: its lots and small states as bytes, to be taken up again without the log.

The bytes are this program's own note to itself and no format: they are thrown away when the
program changes, and the log gives them again. Rule: what is decoded is equal to what was encoded.
"""

from collections.abc import Callable
from hashlib import sha256

import msgspec

from events.codes import signs
from events.concerns import Concern
from events.lots.state import Identity, Line, Lot, Parcel, Term
from events.projections.doubt import alike
from events.record import Record
from events.thin import Thin


class Head(msgspec.Struct, array_like=True):
    """A lot without its story."""

    name: str
    identity: Identity | None
    maker: Record | None
    stands: bool
    facts: dict[str, str]
    parcels: list[Parcel]
    totals: dict[Term, int]
    concerns: list[Concern]
    names: frozenset[str]
    made_place: int
    made_earliest: int
    last_place: int
    less_some: tuple[str, ...]
    last_seen: int


class KeptLot(msgspec.Struct, frozen=True, kw_only=True):
    """A lot put by, and what it is looked up by."""

    name: str
    open: bool
    last_place: int
    alike: int | None
    signs: tuple[tuple[str, str], ...]
    """(name, signs of its code) of every name it has"""
    head: bytes
    story: bytes


_encode = msgspec.msgpack.Encoder().encode
_head = msgspec.msgpack.Decoder(Head).decode
_story = msgspec.msgpack.Decoder(list[Line]).decode
_thin = msgspec.msgpack.Decoder(Thin).decode
FIELDS = Head.__struct_fields__


def put_by(lot: Lot, *, is_open: bool) -> KeptLot:
    """A lot as bytes."""
    return KeptLot(
        name=lot.name,
        open=is_open,
        last_place=lot.last_place,
        alike=alike_key(lot),
        signs=tuple((name, signs(name)) for name in sorted(lot.names)),
        head=_encode(Head(*(getattr(lot, field) for field in FIELDS))),
        story=_encode(lot.lines),
    )


def take_up(head: bytes, story: Callable[[], bytes]) -> Lot:
    """A lot from its bytes; its story is read when somebody asks for it."""
    read = _head(head)
    return Lot(**{field: getattr(read, field) for field in FIELDS}, story=lambda: _story(story()))


def alike_key(lot: Lot) -> int | None:
    """A number that lots which came in alike have in common."""
    key = alike(lot)
    if key is None:
        return None
    return int.from_bytes(sha256(repr(key).encode()).digest()[:7], "big")


def put_by_thin(thin: Thin) -> bytes:
    """The small states as bytes."""
    return _encode(thin)


def take_up_thin(content: bytes) -> Thin:
    """The small states from their bytes."""
    return _thin(content)
