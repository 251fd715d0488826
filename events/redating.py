"""Whether a record's clock was off, as the device that holds the log judges it.

Off is a stamp or a time more than ten minutes ahead of that device's clock; or a time taken from
the clock of a device that had already seen a stamp more than ten minutes later. What is off is
answered with a `redated`, both times stay readable, and nobody adopts a wild stamp. Rule: a record
is judged once, when it is accepted, and by what it says alone.
"""

from msgspec import Struct

from events import edtf, stamp
from events.record import Record


class Off(Struct, frozen=True):
    """What is off: the moment that counts instead (Unix ms; None: `at` stays), and the stamp."""

    moment: int | None
    stamp: bool


def judge(record: Record, now_ms: int) -> Off | None:
    """None: its clock was right, as far as can be told. ValueError where `at` is no EDTF."""
    return ahead(record, now_ms) or behind(record)


def ahead(record: Record, now_ms: int) -> Off | None:
    """Its stamp or its time is ahead of this clock."""
    earliest, _ = edtf.span(record.at, record.offset)
    wild = stamp.wild(record.stamp, now_ms)
    if (earliest is not None and earliest > now_ms + stamp.AHEAD) or (
        wild and record.typed is None
    ):
        return Off(now_ms, wild)
    return Off(None, wild) if wild else None


def behind(record: Record) -> Off | None:
    """Its time was taken from a clock that stood before what its device had seen.

    A stamp is past the clock that gave it only where its device had seen one that was.
    """
    _, latest = edtf.span(record.at, record.offset)
    if record.typed is None and latest is not None and latest < record.stamp.ms - stamp.AHEAD:
        return Off(record.stamp.ms, stamp=False)
    return None
