"""Kinds: what corrects or settles earlier records."""

from typing import Annotated

from msgspec import Meta, Struct

from events.kinds.fields import Edtf, RecordName, Stamp, Text, Word


class Redated(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="redated", tag_field="kind"
):
    """When an earlier record really happened, and which stamp it counts under."""

    record: RecordName
    at: Edtf | None = None
    offset: Annotated[int, Meta(ge=-1439, le=1439)] | None = None
    stamp: "Stamp | None" = None


class Voided(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="voided", tag_field="kind"
):
    """An earlier record was a mistake, or a double of another. Voiding the void brings it back."""

    record: RecordName
    same_as: RecordName | None = None


class Settled(
    Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False, tag="settled", tag_field="kind"
):
    """Somebody looked at a concern and decided; it comes back only if its records change."""

    concern: Word
    rests_on: Annotated[tuple[RecordName, ...], Meta(max_length=1000)]
    decision: Text | None = None
