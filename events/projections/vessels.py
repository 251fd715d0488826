"""What people said of empty jars, bands, lids and buckets themselves.

Which of them stand full is the lots' business, and what both come to is worked out when it is
asked for. The lines are kept sorted by (place, stamp), so the order of arrival does not matter and
a record heard twice counts once.
"""

from bisect import bisect_left
from typing import Literal, NamedTuple, TypeAlias

from msgspec import Struct, field

from events.kinds import VesselsChanged
from events.record import Record

StampKey: TypeAlias = tuple[int, str, int]
Change: TypeAlias = Literal["bought", "broken", "counted", "lent", "back"]


class VesselLine(NamedTuple):
    """One record about a vessel, in its place."""

    place: int
    key: StampKey
    change: Change
    number: int
    code: str
    who: str


class Vessels(Struct):
    """Every vessel's records, each list sorted by (place, stamp)."""

    lines: dict[str, list[VesselLine]] = field(default_factory=dict)

    def fold(self, record: Record, place: int, key: StampKey) -> None:
        """Take in a record that counts at `place` (Unix ms); one heard twice counts once."""
        body = record.body
        if not isinstance(body, VesselsChanged):
            return
        line = VesselLine(place, key, body.change, body.count, body.code or "", body.who or "")
        mine = self.lines.setdefault(body.vessel, [])
        index = bisect_left(mine, line)
        if index == len(mine) or mine[index] != line:
            mine.insert(index, line)


def empty() -> Vessels:
    """No vessel was ever spoken of."""
    return Vessels()
