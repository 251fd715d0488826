"""Kinds: the household's climate, vessels, set-up and digests."""

from typing import Annotated, Literal

from msgspec import Meta, Struct

from events.kinds.fields import Count, Device, Member, StorePath, Text, Word


class Measured(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="measured",
    tag_field="kind",
):
    """Temperature (milli-degrees Celsius) and relative humidity (per mille) read in a store."""

    store: StorePath
    celsius_milli: Annotated[int, Meta(ge=-100_000, le=200_000)] | None = None
    humidity_permille: Annotated[int, Meta(ge=0, le=1000)] | None = None


class Ran(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="ran", tag_field="kind"
):
    """A machine that warms or cools its room ran, for so many minutes."""

    machine: Word
    minutes: Count | None = None


class VesselsChanged(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="vessels_changed",
    tag_field="kind",
):
    """Empty jars, bands, lids, buckets, absorbers: how many, and what became of them."""

    vessel: Word
    count: Count
    change: Literal["bought", "broken", "counted", "lent", "back"]
    code: Word | None = None
    who: Text | None = None


class StoreSet(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="store_set",
    tag_field="kind",
):
    """A store is set up or altered: its kind (kitchen, room, outbuilding, ground, freezer …)."""

    store: StorePath
    facts: dict[Word, Text]


class FoodSet(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="food_set",
    tag_field="kind",
):
    """A food is set up: other names, group, units of its own, marks for reordering."""

    food: Word
    facts: dict[Word, Text]


class MemberSet(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="member_set",
    tag_field="kind",
):
    """A member of the household is set up or altered."""

    member: Member
    facts: dict[Word, Text]


class MachineSet(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="machine_set",
    tag_field="kind",
):
    """A machine: where it stands, what it does to its room, what a load is."""

    machine: Word
    facts: dict[Word, Text]


class DeviceSet(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="device_set",
    tag_field="kind",
):
    """A device of the household: its name, whose it is, whether it is retired."""

    device: Device
    facts: dict[Word, Text]


class DigestSent(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="digest_sent",
    tag_field="kind",
):
    """A reader's digest of a week, and what became of it."""

    reader: Word
    week: Word
    outcome: Word
    message_id: Word | None = None
