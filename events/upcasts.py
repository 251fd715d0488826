"""Old formats lifted to the one that this program reads.

A lift takes a record of one version, as plain values, to the next version; it says what an old
field means and never makes up what the old record did not say. It is not for stored bytes: those
stay as they are for ever. Rule: one lift a version, and never changed once it is released.
"""

from collections.abc import Callable, Sequence
from typing import Any, TypeAlias

Plain: TypeAlias = dict[str, Any]
Lift: TypeAlias = Callable[[Plain], Plain]

LIFTS: tuple[Lift, ...] = ()
"""`LIFTS[0]` takes version 1 to 2, and so on. Version 1 is the only one so far."""


def lift(record: Plain, version: int, lifts: Sequence[Lift] = LIFTS) -> Plain:
    """The record (of `version`, 1 or later) as the newest version says it."""
    for step in lifts[version - 1 :]:
        version += 1
        record = {**step(record), "v": version}
    return record
