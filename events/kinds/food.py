"""Kinds: food comes in, is made, moves, and goes."""

from typing import Annotated

from msgspec import Meta, Struct

from events.kinds.fields import (
    Amount,
    Cause,
    Count,
    DateKind,
    Draw,
    Edtf,
    LotName,
    Origin,
    Package,
    RecordName,
    StorePath,
    Text,
    Word,
    Yield,
)


class Received(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="received",
    tag_field="kind",
):
    """A lot came in: from the garden, a shop, a neighbour, or from the back of a shelf."""

    food: Word
    amount: Amount
    variety: Word | None = None
    form: Word | None = None
    package: Package | None = None
    papers: Amount | None = None
    """the amount by its papers, where that is not what was counted"""
    store: StorePath = ""
    origin: Origin | None = None
    keeping_from: Edtf | None = None
    """when its keeping starts (after curing), else when it came in"""
    printed: Word | None = None
    """the maker's date or code, as printed"""
    printed_kind: DateKind | None = None
    supplier: Word | None = None
    price: Word | None = None
    owner: Word | None = None
    """whose it is, where it is not the household's"""
    answers: RecordName | None = None
    """the `ordered` that this answers"""
    made_at: Edtf | None = None
    """when it was put up or picked, where that is not when it came in"""
    label: Word | None = None


class Ordered(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="ordered", tag_field="kind"
):
    """Something is expected; it is not stock."""

    food: Word
    amount: Amount
    variety: Word | None = None
    form: Word | None = None
    supplier: Word | None = None
    due: Edtf | None = None
    price: Word | None = None


class PutUp(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="put_up", tag_field="kind"
):
    """Something was made and put by: a canner load, a crock, a tray of dried pears."""

    yields: Annotated[tuple[Yield, ...], Meta(max_length=200)]
    draws: Annotated[tuple[Draw, ...], Meta(max_length=200)] = ()
    method: Word | None = None
    minutes: Count | None = None
    pressure: Word | None = None
    altitude: Word | None = None
    recipe: Word | None = None
    acid: Word | None = None
    machine: Word | None = None
    trays: Count | None = None
    lid_box: Word | None = None
    supplies: dict[Word, Word] | None = None
    remedy: RecordName | None = None
    """the mark that this making remedies: its draws lose that hold"""


class Repacked(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="repacked",
    tag_field="kind",
):
    """The same food in other packages, or joined. What is short is this record's own loss."""

    yields: Annotated[tuple[Yield, ...], Meta(max_length=200)]
    draws: Annotated[tuple[Draw, ...], Meta(max_length=200)] = ()
    remedy: RecordName | None = None


class Moved(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="moved", tag_field="kind"
):
    """Carried from a store to another. Digging a bed is a move out of the ground."""

    lot: LotName
    amount: Amount
    to: StorePath
    store: StorePath = ""
    rest: bool = False
    mark: RecordName | None = None
    opened: bool | None = None


class Opened(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="opened", tag_field="kind"
):
    """Packages were opened; what was eaten of them is a `consumed`."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    picked: bool = False


class Consumed(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="consumed",
    tag_field="kind",
):
    """Eaten, or cooked with.

    `picked`: the taker did not know the lot; the device chose it, first to use there, when the
    record was written, and it is not chosen again.
    """

    lot: LotName
    amount: Amount
    store: StorePath = ""
    rest: bool = False
    mark: RecordName | None = None
    opened: bool | None = None
    picked: bool = False


class Spoiled(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="spoiled", tag_field="kind"
):
    """Thrown out, composted or fed to animals, and why."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    cause: Cause | None = None
    rest: bool = False
    mark: RecordName | None = None
    opened: bool | None = None


class Gave(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="gave", tag_field="kind"
):
    """Given, traded or sold."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    to: Text | None = None
    """to whom; may be blanked later, no sum changes"""
    price: Word | None = None
    rest: bool = False
    mark: RecordName | None = None
    opened: bool | None = None


class Planted(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="planted", tag_field="kind"
):
    """Used as seed stock."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    rest: bool = False
    mark: RecordName | None = None
