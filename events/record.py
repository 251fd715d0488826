"""A record is what a device says happened; an entry is a record in the log.

`position`, `received` and `sent_by` belong to the entry. The fold reads none of the three: they
serve cursors, proofs, "as it was known then", and the trail's "heard when".
"""

from typing import Annotated

from msgspec import Meta, Struct

from events.kinds import Body, Count, Device, Edtf, Member, RecordName, Stamp, Text, Word

FORMAT = 1
"""The version of the record's form that this program writes."""


class Record(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """One fact, as the device that saw it wrote it down."""

    household: Word
    device: Device
    seq: Annotated[int, Meta(ge=1, le=10**15 - 1)]
    """the device's own counter, 1, 2, 3 … without gaps; with `device` the record's name"""
    stamp: Stamp
    at: Edtf
    """when it happened in the house, EDTF (ISO 8601-2): instant, date, month, year, interval"""
    offset: Annotated[int, Meta(ge=-1439, le=1439)]
    """minutes east of UTC on the device when it wrote this, also beside a date"""
    body: Body
    v: Annotated[int, Meta(ge=1, le=10_000)] = 1
    """the form it was written in; a record without it is of the first"""
    typed: Word | None = None
    """what the person typed for `at`; None: `at` was taken from the device's clock"""
    by: Member | None = None
    deed: Count | None = None
    """the first `seq` of one act of many records"""
    source: Word | None = None
    """a printed sheet's number and line, a file's and row's fingerprint, a sensor"""
    explains: RecordName | None = None
    note: Text | None = None

    @property
    def name(self) -> str:
        return f"{self.device}:{self.seq}"

    @property
    def deed_name(self) -> str:
        """The act that this record is part of, named by its first record."""
        return f"{self.device}:{self.deed or self.seq}"


class Entry(Struct, frozen=True, kw_only=True, gc=False):
    """A record in the log."""

    position: int
    received: int
    """Unix milliseconds on the clock of the device that holds the log"""
    sent_by: str
    record: Record


class Unread(Struct, frozen=True, kw_only=True, gc=False):
    """A record whose kind or version this program does not know: kept byte for byte, raised."""

    name: str
    kind: str
    version: int
    content: bytes


class UnreadEntry(Struct, frozen=True, kw_only=True, gc=False):
    """Such a record in the log."""

    position: int
    received: int
    sent_by: str
    unread: Unread
