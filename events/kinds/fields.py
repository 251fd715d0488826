"""What records are made of: texts with bounds, names, amounts, packages, stamps.

Patterns stand beside the fields for what comes from outside (`forms`); decoding passes them over.
"""

from typing import Annotated, Literal, TypeAlias

from msgspec import Meta, Struct

GRAIN = 5_040_000
"""Amounts are whole numbers of 1/5 040 000 of a unit: halves to tenths, twelfths, sixteenths and
four decimals are whole, and stay exact in programs whose numbers have 53 bits."""

MAX_COUNT = 2**53 - 1
"""No number in a record is larger, so that every program reads it exactly."""

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


class Amount(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
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


class Package(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """What a lot's food is packed in; the lot is then counted in packages.

    `content` is how much one holds when full ("1" "quart"), as a decimal or fraction.
    """

    vessel: Word
    content: Word | None = None
    content_unit: Unit | None = None
    fill: Word | None = None
    """how full they are, as said ("3/4", "not full")"""


class Draw(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """So much of a lot, from a store, into something that is made."""

    lot: LotName
    amount: Amount
    store: StorePath = ""
    rest: bool = False
    mark: RecordName | None = None
    """take food under this mark first"""


class Yield(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
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


class Stamp(Struct, frozen=True, array_like=True, order=True, gc=False):
    """A hybrid logical clock's reading: 48 bits of Unix milliseconds, 16 of counter."""

    ms: Annotated[int, Meta(ge=0, le=2**48 - 1)]
    counter: Annotated[int, Meta(ge=0, le=2**16 - 1)] = 0
