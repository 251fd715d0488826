"""Kinds: food is counted, looked at, held, set aside, and learnt about."""

from msgspec import Struct

from events.kinds.fields import Amount, Edtf, LotName, RecordName, StorePath, Text, Word


class Counted(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="counted", tag_field="kind"
):
    """This is what is there of this lot: of the whole store, or at least in a `part` of it."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    part: bool = False
    weighed: bool = False


class StoreCounted(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="store_counted",
    tag_field="kind",
):
    """Somebody went through all of a store; what is there is in the counts of this deed."""

    store: StorePath


class Checked(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="checked", tag_field="kind"
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


class Held(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="held", tag_field="kind"
):
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
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="released",
    tag_field="kind",
):
    """A hold ends: for the lot, or for an amount of it in a store."""

    lot: LotName
    mark: RecordName
    amount: Amount | None = None
    store: StorePath = ""


class SetAside(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="set_aside",
    tag_field="kind",
):
    """Kept back, for seed or a feast: not offered, not planned with, never a refusal."""

    lot: LotName
    amount: Amount | None = None
    store: StorePath = ""
    purpose: Word | None = None


class Freed(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="freed", tag_field="kind"
):
    """No longer kept back."""

    lot: LotName
    mark: RecordName
    amount: Amount | None = None
    store: StorePath = ""


class Incident(
    Struct,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    gc=False,
    tag="incident",
    tag_field="kind",
):
    """Something befell a store between two moments, either rough: power, frost, heat, flood."""

    store: StorePath
    what: Word
    start: Edtf
    end: Edtf | None = None
    """None: until the record's own moment"""


class LotSet(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="lot_set", tag_field="kind"
):
    """Facts about a lot learnt later; the newest stamp wins, field by field.

    `facts` may name food, variety, form, label, altitude, acid, printed, printed_kind, owner,
    sure ("by sight"), made_at, recipients; never amount, unit or store. An empty text blanks.
    """

    lot: LotName
    facts: dict[Word, Text]
