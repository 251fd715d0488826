"""Records set in time and taken apart by lot: a step is what one record does to one lot.

Every record has one place in time: the latest moment its `at` allows, never later than its stamp.
No zone table and no setting enters. Steps are sorted by (place, stamp, device, seq).
"""

from typing import TypeAlias

from msgspec import Struct

from events.edtf import span
from events.kinds import (
    Body,
    Checked,
    Consumed,
    Counted,
    Draw,
    Freed,
    Gave,
    Held,
    Incident,
    LotSet,
    Moved,
    Opened,
    Planted,
    PutUp,
    Received,
    Released,
    Repacked,
    SetAside,
    Spoiled,
    Stamp,
    Yield,
)
from events.lots.state import Mark
from events.record import Record

ON_ONE_LOT = frozenset({Moved, Opened, Consumed, Spoiled, Gave, Planted, Counted, Checked, Held,
                        Released, SetAside, Freed, LotSet})  # fmt: skip

Key: TypeAlias = tuple[int | str, ...]
"""(place, stamp, device, seq, 1, part); what explains a count has its key with 0, then its own."""
FIRST: Key = (-(2**63), -1, "", 0, 0, 0)
BEGINNING = -(2**62)
"""The earliest moment of a record whose start nobody knows."""


class Ending(Struct, frozen=True):
    """A hold that came with a parent's draw ends, because it ended where it was laid."""

    hold: Mark


class Befell(Struct, frozen=True):
    """An incident, its widest bounds worked out (Unix milliseconds)."""

    said: Incident
    start: int
    end: int


Part: TypeAlias = Body | Draw | Yield | Ending | Befell


class Times(Struct, frozen=True, gc=False):
    """When a record counts: earliest moment and place (Unix ms), stamp as one number."""

    earliest: int
    place: int
    stamp: int
    redated: bool = False


class Step(Struct, gc=False):
    """What one record does to one lot."""

    key: Key
    times: Times
    record: Record
    name: str
    """of the record"""
    part: Part
    sub: int = 0
    place: int = 0
    explained: bool = False
    """stands just before the count that its record explains"""
    astray: bool = False
    """explains what does not stand, is not known, or is no count of this lot"""


def moments(text: str, offset: int) -> tuple[int | None, int | None]:
    """First and last millisecond of a text; open on both ends where it is no date that we read."""
    try:
        return span(text, offset)
    except ValueError:
        return None, None


def times_of(record: Record, at: str, offset: int, stamp: Stamp, redated: bool) -> Times:
    """Set a record in time, from its own `at` and stamp or those that redate it."""
    earliest, latest = moments(at, offset)
    written = stamp.ms
    place = written if latest is None or latest > written else latest
    if earliest is None:
        earliest = BEGINNING
    elif earliest > place:
        earliest = place
    return Times(earliest, place, written << 16 | stamp.counter, redated)


def key_of(times: Times, record: Record, sub: int) -> Key:
    return (times.place, times.stamp, record.device, record.seq, 1, sub)


def key_before(count: Key, times: Times, record: Record, sub: int) -> Key:
    """Just before the count that the record explains, several by stamp."""
    return (*count[:4], 0, times.stamp, record.device, record.seq, sub)


def parts(record: Record, name: str | None = None) -> list[tuple[str, Part, int]]:
    """(lot, what is said about it, number of the part), draws before yields."""
    body = record.body
    if type(body) in ON_ONE_LOT:
        return [(body.lot, body, 0)]  # type: ignore[union-attr]
    if isinstance(body, Received):
        return [(f"{name or record.name}:0", body, 0)]
    if not isinstance(body, PutUp | Repacked):
        return []
    found: list[tuple[str, Part, int]] = [
        (draw.lot, draw, number) for number, draw in enumerate(body.draws)
    ]
    for number, made in enumerate(body.yields):
        found.append((f"{record.name}:{number}", made, len(body.draws) + number))
    return found


def befell(record: Record, said: Incident, times: Times) -> Befell:
    """The widest bounds of an incident; an open end is the record's own place."""
    start, _ = moments(said.start, record.offset)
    latest = times.place
    if said.end is not None:
        end = moments(said.end, record.offset)[1]
        latest = times.stamp >> 16 if end is None else min(end, times.stamp >> 16)
    first = BEGINNING if start is None else start
    return Befell(said, first, max(first, latest))


def maker_name(lot: str) -> tuple[str, int]:
    """(name of the record that makes the lot, number of the yield)."""
    record, _, number = lot.rpartition(":")
    return record, int(number)


def made_part(record: Record, number: int) -> Received | Yield | None:
    """What the record says of its yield of that number, None where it has none."""
    body = record.body
    if isinstance(body, Received):
        return body if number == 0 else None
    if isinstance(body, PutUp | Repacked) and number < len(body.yields):
        return body.yields[number]
    return None
