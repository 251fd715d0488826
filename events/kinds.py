"""Every kind of thing that people say happened to the household's food.

A kind only says; folds do. Each is a frozen record without behaviour, explained to the person who
keeps the food. A field that an older record lacks reads None: "not recorded", never a guess.

Names: a record is named "device:seq"; a lot by the record that made it and the number of the
yield, "device:seq:0". A mark (a hold, something set aside) is named by its record. A store is a
path ("back-room/shelf-2"); "" is the household itself.
"""

from typing import Annotated, Literal, TypeAlias

from msgspec import Meta, Struct

GRAIN = 5_040_000
"""Amounts are whole numbers of 1/5 040 000 of a unit: halves to tenths, twelfths, sixteenths and
four decimals are whole, and stay exact in programs whose numbers have 53 bits."""

MAX_COUNT = 2**53 - 1
"""No number in a record is larger, so that every program reads it exactly."""

# Patterns stand beside the fields for what comes from outside (`forms`); decoding passes them over.
Text: TypeAlias = Annotated[
    str, Meta(max_length=4000, extra_json_schema={"pattern": r"^[^\x00]*$"})
]
Word: TypeAlias = Annotated[
    str, Meta(min_length=1, max_length=200, extra_json_schema={"pattern": r"^[^\x00]*$"})
]
Unit: TypeAlias = Annotated[
    str, Meta(min_length=1, max_length=60, extra_json_schema={"pattern": r"^[^\x00]*$"})
]
Device: TypeAlias = Annotated[
    str, Meta(extra_json_schema={"pattern": r"^[a-z0-9][a-z0-9-]{0,31}$"})
]
RecordName: TypeAlias = Annotated[
    str, Meta(extra_json_schema={"pattern": r"^[a-z0-9][a-z0-9-]{0,31}:[1-9][0-9]{0,14}$"})
]
LotName: TypeAlias = Annotated[
    str,
    Meta(extra_json_schema={"pattern": r"^[a-z0-9][a-z0-9-]{0,31}:[1-9][0-9]{0,14}:[0-9]{1,3}$"}),
]
StorePath: TypeAlias = Annotated[
    str, Meta(max_length=200, extra_json_schema={"pattern": r"^$|^[^/\x00]+(/[^/\x00]+)*$"})
]
Member: TypeAlias = Word
Edtf: TypeAlias = Annotated[
    str, Meta(min_length=4, max_length=80, extra_json_schema={"pattern": r"^[0-9TXZ:.+/?~%-]+$"})
]
Grains: TypeAlias = Annotated[int, Meta(ge=0, le=MAX_COUNT)]
Count: TypeAlias = Annotated[int, Meta(ge=0, le=MAX_COUNT)]


class Amount(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """So much of a lot, in grains (1/5 040 000) of `unit`, the unit the lot is kept in.

    `n` None: it was said in a unit for which the device knew no equivalence ("2 bowls" of a lot
    in pounds); `said` and `said_unit` keep it, and no sum changes. `low` None: exact. With `low`,
    an estimate: `n` likely, `high` None where nobody knows ("some" is n 0, low 0, high None).
    """

    unit: Unit
    n: Grains | None = None
    low: Grains | None = None
    high: Grains | None = None
    said: Word | None = None
    """what the person typed"""
    said_unit: Unit | None = None
    """the unit it was said in, where that is not `unit`"""
    basis: Word | None = None
    """the equivalence that the device used, a fact from then on: "1 bag = 2 lb" """
    beside_n: Grains | None = None
    """a second measure of the same food (pieces beside pounds), in grains of `beside_unit`"""
    beside_unit: Unit | None = None


class Package(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What a lot's food is packed in; the lot is then counted in packages.

    `content` is how much one holds when full ("1" "quart"), as a decimal or fraction.
    """

    vessel: Word
    content: Word | None = None
    content_unit: Unit | None = None
    fill: Word | None = None
    """how full they are, as said ("3/4", "not full")"""


class Draw(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """So much of a lot, from a store, into something that is made."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    rest: bool = False
    mark: RecordName | None = None
    """take food under this mark first"""


class Yield(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A new lot that a making gives."""

    food: Word
    amount: Amount
    variety: Word | None = None
    form: Word | None = None
    package: Package | None = None
    store: StorePath = ""
    label: Word | None = None


Origin = Literal["harvest", "bought", "gift", "exchange", "found"]
Cause = Literal["mould", "rot", "sprouted", "frozen", "rancid", "seal failed", "pests", "animals",
                "broken", "past best", "not found", "other"]  # fmt: skip
DateKind = Literal["packed", "sell by", "best by", "use by", "code", "unknown"]


class Received(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="received", tag_field="kind"
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
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="ordered", tag_field="kind"
):
    """Something is expected; it is not stock."""

    food: Word
    amount: Amount
    variety: Word | None = None
    form: Word | None = None
    supplier: Word | None = None
    due: Edtf | None = None
    price: Word | None = None


class PutUp(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="put_up", tag_field="kind"):
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
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="repacked", tag_field="kind"
):
    """The same food in other packages, or joined. What is short is this record's own loss."""

    yields: Annotated[tuple[Yield, ...], Meta(max_length=200)]
    draws: Annotated[tuple[Draw, ...], Meta(max_length=200)] = ()
    remedy: RecordName | None = None


class Moved(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="moved", tag_field="kind"):
    """Carried from a store to another. Digging a bed is a move out of the ground."""

    lot: LotName
    amount: Amount
    to: StorePath
    store: StorePath = ""
    rest: bool = False
    mark: RecordName | None = None
    opened: bool | None = None


class Opened(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="opened", tag_field="kind"):
    """Packages were opened; what was eaten of them is a `consumed`."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    picked: bool = False


class Consumed(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="consumed", tag_field="kind"
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
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="spoiled", tag_field="kind"
):
    """Thrown out, composted or fed to animals, and why."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    cause: Cause | None = None
    rest: bool = False
    mark: RecordName | None = None
    opened: bool | None = None


class Gave(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="gave", tag_field="kind"):
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
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="planted", tag_field="kind"
):
    """Used as seed stock."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    rest: bool = False
    mark: RecordName | None = None


class Counted(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="counted", tag_field="kind"
):
    """This is what is there of this lot: of the whole store, or at least in a `part` of it."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    part: bool = False
    weighed: bool = False


class StoreCounted(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="store_counted", tag_field="kind"
):
    """Somebody went through all of a store; what is there is in the counts of this deed."""

    store: StorePath


class Checked(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="checked", tag_field="kind"
):
    """Somebody looked. `seen` is how much they saw, `sound` how much of it was good."""

    lot: LotName
    store: StorePath = ""
    seen: Amount | None = None
    sound: Amount | None = None
    wrong: Amount | None = None
    finding: Word | None = None
    mark: RecordName | None = None
    """the hold or incident that this look answers; it ends for the amount found sound"""


class Held(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="held", tag_field="kind"):
    """Not to be eaten for now. Without an amount: the whole lot, or all of it in the store."""

    lot: LotName
    amount: Amount | None = None
    store: StorePath = ""
    programme: Word | None = None
    reason: Word | None = None
    until: Edtf | None = None
    since: Edtf | None = None
    """when the doubt reaches back"""


class Released(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="released", tag_field="kind"
):
    """A hold ends: for the lot, or for an amount of it in a store."""

    lot: LotName
    mark: RecordName
    amount: Amount | None = None
    store: StorePath = ""


class SetAside(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="set_aside", tag_field="kind"
):
    """Kept back, for seed or a feast: not offered, not planned with, never a refusal."""

    lot: LotName
    amount: Amount | None = None
    store: StorePath = ""
    purpose: Word | None = None


class Freed(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="freed", tag_field="kind"):
    """No longer kept back."""

    lot: LotName
    mark: RecordName
    amount: Amount | None = None
    store: StorePath = ""


class Incident(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="incident", tag_field="kind"
):
    """Something befell a store between two moments, either rough: power, frost, heat, flood."""

    store: StorePath
    what: Word
    start: Edtf
    end: Edtf | None = None
    """None: until the record's own moment"""


class LotSet(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="lot_set", tag_field="kind"
):
    """Facts about a lot learnt later; the newest stamp wins, field by field.

    `facts` may name food, variety, form, label, altitude, acid, printed, printed_kind, owner,
    sure ("by sight"), made_at, recipients; never amount, unit or store. An empty text blanks.
    """

    lot: LotName
    facts: dict[Word, Text]


class Measured(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="measured", tag_field="kind"
):
    """Temperature (milli-degrees Celsius) and relative humidity (per mille) read in a store."""

    store: StorePath
    celsius_milli: Annotated[int, Meta(ge=-100_000, le=200_000)] | None = None
    humidity_permille: Annotated[int, Meta(ge=0, le=1000)] | None = None


class Ran(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="ran", tag_field="kind"):
    """A machine that warms or cools its room ran, for so many minutes."""

    machine: Word
    minutes: Count | None = None


class VesselsChanged(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="vessels_changed", tag_field="kind"
):
    """Empty jars, bands, lids, buckets, absorbers: how many, and what became of them."""

    vessel: Word
    count: Count
    change: Literal["bought", "broken", "counted", "lent", "back"]
    code: Word | None = None
    who: Text | None = None


class StoreSet(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="store_set", tag_field="kind"
):
    """A store is set up or altered: its kind (kitchen, room, outbuilding, ground, freezer …)."""

    store: StorePath
    facts: dict[Word, Text]


class FoodSet(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="food_set", tag_field="kind"
):
    """A food is set up: other names, group, units of its own, marks for reordering."""

    food: Word
    facts: dict[Word, Text]


class MemberSet(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="member_set", tag_field="kind"
):
    """A member of the household is set up or altered."""

    member: Member
    facts: dict[Word, Text]


class MachineSet(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="machine_set", tag_field="kind"
):
    """A machine: where it stands, what it does to its room, what a load is."""

    machine: Word
    facts: dict[Word, Text]


class DeviceSet(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="device_set", tag_field="kind"
):
    """A device of the household: its name, whose it is, whether it is retired."""

    device: Device
    facts: dict[Word, Text]


class DigestSent(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="digest_sent", tag_field="kind"
):
    """A reader's digest of a week, and what became of it."""

    reader: Word
    week: Word
    outcome: Word
    message_id: Word | None = None


class Redated(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="redated", tag_field="kind"
):
    """When an earlier record really happened, and which stamp it counts under."""

    record: RecordName
    at: Edtf | None = None
    offset: Annotated[int, Meta(ge=-1439, le=1439)] | None = None
    stamp: "Stamp | None" = None


class Voided(Struct, frozen=True, kw_only=True, omit_defaults=True, tag="voided", tag_field="kind"):
    """An earlier record was a mistake, or a double of another. Voiding the void brings it back."""

    record: RecordName
    same_as: RecordName | None = None


class Settled(
    Struct, frozen=True, kw_only=True, omit_defaults=True, tag="settled", tag_field="kind"
):
    """Somebody looked at a concern and decided; it comes back only if its records change."""

    concern: Word
    rests_on: Annotated[tuple[RecordName, ...], Meta(max_length=1000)]
    decision: Text | None = None


class Stamp(Struct, frozen=True, array_like=True, order=True):
    """A hybrid logical clock's reading: 48 bits of Unix milliseconds, 16 of counter."""

    ms: Annotated[int, Meta(ge=0, le=2**48 - 1)]
    counter: Annotated[int, Meta(ge=0, le=2**16 - 1)] = 0


Body: TypeAlias = (
    Received | Ordered | PutUp | Repacked | Moved | Opened | Consumed | Spoiled | Gave | Planted
    | Counted | StoreCounted | Checked | Held | Released | SetAside | Freed | Incident | LotSet
    | Measured | Ran | VesselsChanged | StoreSet | FoodSet | MemberSet | MachineSet | DeviceSet
    | DigestSent | Redated | Voided | Settled
)  # fmt: skip
