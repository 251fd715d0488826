"""The hybrid logical clock: a stamp that rises with every record, though clocks are wrong.

It is for ordering: a stamp is later than every stamp its device had seen. It is not the time at
which something happened (`at` says that), and it reads no clock: "now" is passed in, in Unix
milliseconds. Rule: nobody receives a stamp that is further than `AHEAD` past their own clock, or
one clock that is years off would drag all others along for good; `wild` tells, the ledger acts.

Source: Kulkarni, Demirbas, Madappa, Avva, Leone, "Logical physical clocks" (2014).
"""

from events.kinds import Stamp
from events.record import Record

AHEAD = 10 * 60 * 1000
"""Milliseconds by which a stamp may be past the clock of the one who accepts it."""

MAX_MS = 2**48 - 1
MAX_COUNTER = 2**16 - 1

ZERO = Stamp(0, 0)
"""The stamp of a device that has neither written nor seen anything."""


def tick(last: Stamp, now_ms: int) -> Stamp:
    """The stamp of the next record of a device whose newest stamp, own or seen, is `last`."""
    if now_ms > last.ms:
        return Stamp(min(now_ms, MAX_MS))
    return _after(last)


def receive(last: Stamp, heard: Stamp, now_ms: int) -> Stamp:
    """The clock of a device that has just seen the stamp `heard`; later than both."""
    newest = max(last, heard)
    if now_ms > newest.ms:
        return Stamp(min(now_ms, MAX_MS))
    return _after(newest)


def wild(stamp: Stamp, now_ms: int) -> bool:
    """Whether a stamp is so far ahead of this clock that it is not to be adopted."""
    return stamp.ms > now_ms + AHEAD


def key(stamp: Stamp) -> int:
    """One whole number (64 bits) that orders as stamps do."""
    return stamp.ms << 16 | stamp.counter


def order(record: Record) -> tuple[int, str, int]:
    """The total order of records: stamp, then device, then the device's own counter."""
    return (key(record.stamp), record.device, record.seq)


def _after(stamp: Stamp) -> Stamp:
    """The next stamp; a full counter runs over into the milliseconds, so that it still rises."""
    if stamp.counter < MAX_COUNTER:
        return Stamp(stamp.ms, stamp.counter + 1)
    return Stamp(stamp.ms + 1)
