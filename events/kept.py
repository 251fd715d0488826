"""A book put by: its lots and small states as bytes, to be taken up again without the log.

The bytes are this program's own note to itself and no format: they are thrown away when the
program changes, and the log gives them again. Rule: what is decoded is equal to what was encoded.
"""

from collections.abc import Callable, Iterable
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
    signs: tuple[tuple[str, str], ...] | None
    """(name, signs of its code) of every name it has; None: as they were put by"""
    head: bytes
    first: int
    """the line of its story with which `story` begins: what was put by before it stays"""
    story: bytes
    """b"" where no line came"""


_encode = msgspec.msgpack.Encoder().encode
_head = msgspec.msgpack.Decoder(Head).decode
_story = msgspec.msgpack.Decoder(list[Line]).decode
_thin = msgspec.msgpack.Decoder(Thin).decode
FIELDS = Head.__struct_fields__


class Kept:
    """What of each lot stands put by: its names, and how far its story is told.

    A story only grows until its lot is folded anew, and then it is another list.
    """

    def __init__(self, lots: Iterable[Lot]) -> None:
        self._names = {lot.name: lot.names for lot in lots}
        self._told: dict[str, tuple[list[Line], int]] = {}
        self._telling: dict[str, tuple[frozenset[str], list[Line], int]] = {}

    def put_by(self, lot: Lot, *, is_open: bool) -> KeptLot:
        """A lot as bytes, as much of it as is not put by yet."""
        name, lines = lot.name, lot.lines
        told, first = self._told.get(name, (lines, 0))
        if told is not lines:
            first = 0
        self._telling[name] = (lot.names, lines, len(lines))
        same = self._names.get(name) == lot.names
        return KeptLot(
            name=name,
            open=is_open,
            last_place=lot.last_place,
            alike=alike_key(lot),
            signs=None if same else tuple((one, signs(one)) for one in sorted(lot.names)),
            head=_encode(Head(*(getattr(lot, field) for field in FIELDS))),
            first=first,
            story=_encode(lines[first:]) if first < len(lines) else b"",
        )

    def was_put_by(self, kept: Iterable[KeptLot], otherwise: Iterable[str]) -> None:
        """Those are put by now, and whatever else was otherwise is no more.

        Of a lot that closed nothing need be known: should it open again, it is told anew.
        """
        for name in (*otherwise, *(lot.name for lot in kept)):
            self._names.pop(name, None)
            self._told.pop(name, None)
        for lot in kept:
            if lot.open:
                names, lines, count = self._telling[lot.name]
                self._names[lot.name] = names
                self._told[lot.name] = (lines, count)
        self._telling = {}


def take_up(head: bytes, story: Callable[[], Iterable[bytes]]) -> Lot:
    """A lot from its bytes; its story is read when somebody asks for it."""
    read = _head(head)

    def lines() -> list[Line]:
        return [line for part in story() for line in _story(part)]

    return Lot(**{field: getattr(read, field) for field in FIELDS}, story=lines)


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
