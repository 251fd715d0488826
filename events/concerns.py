"""What does not add up, as a value: a concern is something to look at, never a refusal.

A concern is told apart by its kind and the records it rests on. It goes when those no longer give
it, or when somebody has `settled` it.
"""

from typing import Literal, TypeAlias

from msgspec import Struct

ConcernKind: TypeAlias = Literal[
    "unknown-lot",  # a record names a lot that nobody has brought in, as far as is known here
    "making-taken-back",  # the record that made the lot was voided, later records stand on it
    "unknown-mark",  # a release or look names a mark that is not on this lot
    "other-unit",  # said in a unit with no known equivalence: "less some"
    "more-than-known",  # taken or seen, and never brought in: booked as found
    "picked-short",  # the device chose a lot that had less: booked as found, the food lower by it
    "carried-unsaid",  # taken or seen where the log knew none, while it knew some elsewhere
    "moved-short",  # more moved than was there: moved twice?
    "count-differs",  # a whole count found more or less than the log
    "estimate-off",  # a count lies outside the range of an estimate
    "before-or-after-count",  # a record's dates overlap a count's: was it before or after?
    "explains-nothing",  # the count that a record explains does not stand, or is of another lot
    "reserve-short",  # food that was set aside went another way
    "held-used",  # held food was eaten, given, or drawn into something made
    "used-before-hold",  # the same, before the hold was known
    "may-have-stood",  # an incident, and food known only for the household as a whole
    "clock-off",  # the service redated a record whose device's clock was wild
    "same-source",  # one printed line, row or reading was entered twice
    "maybe-double",  # two records by different recorders that say the same of the same day
    "void-ring",  # voids or redatings that hang on each other; none counts
    "unknown-record",  # a void, redating or settling of a record that is not known here
    "unread-record",  # a kind or version that this program does not know
    "same-name",  # two facts under one name: a device set back from a backup
    "gap-in-device",  # a device has logged things that have not arrived
]


class Concern(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One thing to look at."""

    kind: ConcernKind
    rests_on: tuple[str, ...]
    """names of the records it rests on, the one that raised it first"""
    lot: str = ""
    store: str = ""
    other_store: str = ""
    n: int = 0
    """how much, in grains of `unit`; signed for count-differs (found +, missing -)"""
    unit: str = ""
    deed: str = ""
    """concerns of one deed are shown as one"""
    place: int = 0
    """when, in Unix milliseconds"""
    mark: str = ""
    detail: str = ""

    @property
    def key(self) -> tuple[str, tuple[str, ...]]:
        return (self.kind, tuple(sorted(set(self.rests_on))))
