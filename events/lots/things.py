"""What a record is about: the things under which it can be found again once it is put by.

A thing is a lot, a record that others name, a kind of record that is asked for as a whole, or a
source. Whoever keeps a log notes for every record what it is about, in the transaction that
appends it, so that a closed lot can be read back without reading the log.
"""

from hashlib import sha256
from typing import NamedTuple, get_args

from events.kinds import (
    Body,
    DeviceSet,
    FoodSet,
    Incident,
    MachineSet,
    Measured,
    MemberSet,
    Ordered,
    PutUp,
    Ran,
    Received,
    Redated,
    Repacked,
    Settled,
    StoreCounted,
    StoreSet,
    VesselsChanged,
    Voided,
)
from events.lots.steps import ON_ONE_LOT, parts
from events.record import Record

NAMED = -1
"""The part of a thing that is a record which others name."""
KIND = -2
SOURCE = -3


class Thing(NamedTuple):
    """A lot (`part` its number), or what the negative parts say."""

    device: str
    seq: int
    part: int


HOUSEHOLD = Thing("", 1, KIND)
"""incidents and stores gone through: they may be about any lot"""
SET_UP = Thing("", 2, KIND)
VESSELS = Thing("", 3, KIND)
CLIMATE = Thing("", 4, KIND)
LOADS = Thing("", 5, KIND)
ORDERS = Thing("", 6, KIND)

KINDS: dict[type, Thing] = {
    Incident: HOUSEHOLD, StoreCounted: HOUSEHOLD,
    StoreSet: SET_UP, FoodSet: SET_UP, MemberSet: SET_UP, MachineSet: SET_UP, DeviceSet: SET_UP,
    VesselsChanged: VESSELS,
    Measured: CLIMATE, Ran: CLIMATE,
    PutUp: LOADS,
    Ordered: ORDERS,
}  # fmt: skip

LEANING = frozenset(
    kind for kind in get_args(Body) if {"mark", "answers", "remedy"} & set(kind.__struct_fields__)
)
"""Kinds that may name other records without amending them."""


def lot_thing(lot: str) -> Thing:
    """The thing that a lot of that name is."""
    device, seq, number = lot.rsplit(":", 2)
    return Thing(device, int(seq), int(number))


def named(record: str) -> Thing:
    """The thing that a record is to those that name it."""
    device, _, seq = record.rpartition(":")
    return Thing(device, int(seq), NAMED)


def of_source(source: str) -> Thing:
    """The thing that a source is; two sources that share one are told apart by who reads them."""
    return Thing("", int.from_bytes(sha256(source.encode()).digest()[:7], "big"), SOURCE)


def lots_of(record: Record) -> set[str]:
    """The lots that a record makes, touches or draws on, as it names them."""
    return {lot for lot, _, _ in parts(record)}


def makings(record: Record) -> list[str]:
    """The lots that a record makes."""
    body = record.body
    if isinstance(body, Received):
        return [f"{record.name}:0"]
    if isinstance(body, PutUp | Repacked):
        return [f"{record.name}:{number}" for number in range(len(body.yields))]
    return []


def leans_on(record: Record) -> list[str]:
    """The records that a record names without amending them: counts, marks, orders."""
    body = record.body
    if type(body) not in LEANING:
        return [] if record.explains is None else [record.explains]
    found: list[str | None] = [record.explains]
    if isinstance(body, (PutUp, Repacked)):
        found += [body.remedy, *(draw.mark for draw in body.draws)]
    else:
        found += [getattr(body, "mark", None), getattr(body, "answers", None)]
    return [name for name in found if name is not None]


def amends(record: Record) -> list[str]:
    """The records that a void or redating is about."""
    body = record.body
    if isinstance(body, Voided):
        return [body.record] if body.same_as is None else [body.record, body.same_as]
    return [body.record] if isinstance(body, Redated) else []


def on_its_own(record: Record) -> bool:
    """Whether a record is about one lot and hangs together with no record that it names."""
    kind = type(record.body)
    return (
        (kind in ON_ONE_LOT or kind is Received) and record.source is None and not leans_on(record)
    )


def things(record: Record) -> tuple[Thing, ...]:
    """Everything that a record is about, each once."""
    body = record.body
    if on_its_own(record):
        return tuple(lot_thing(lot) for lot, _, _ in parts(record))
    found = [lot_thing(lot) for lot, _, _ in parts(record)]
    found += [named(name) for name in (*amends(record), *leans_on(record))]
    if isinstance(body, Settled):
        found += [named(name) for name in body.rests_on]
    if (kind := KINDS.get(type(body))) is not None:
        found.append(kind)
    if record.source is not None:
        found.append(of_source(record.source))
    return tuple(dict.fromkeys(found))
