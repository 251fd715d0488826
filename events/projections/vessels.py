"""Empty jars, bands, lids, buckets: how many are at hand, and how many are out on loan.

Only what people said of the vessels themselves; which of them stand full is the lots' business.
A `counted` sets the number at its place in time, whatever the order of arrival: the records are
kept sorted by (place, stamp) and the numbers are worked out when they are asked for.
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


class AtHand(NamedTuple):
    """What the records come to, in whole vessels."""

    number: int
    """at hand, full or empty; never below nought"""
    short: int
    """how many more went than the records know of, since the last count"""
    lent: int
    """out on loan, by the records; never below nought"""


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

    def at_hand(self, vessel: str, until: int | None = None) -> AtHand:
        """The numbers as they stood at `until` (Unix ms, inclusive), else at the end."""
        count = short = lent = 0
        for line in self.lines.get(vessel, ()):
            if until is not None and line.place > until:
                break
            match line.change:
                case "counted":
                    count, short = line.number, 0
                case "bought":
                    count += line.number
                case "back":
                    count += line.number
                    lent = max(0, lent - line.number)
                case "broken":
                    count -= line.number
                case "lent":
                    count -= line.number
                    lent += line.number
            if count < 0:
                count, short = 0, short - count
        return AtHand(count, short, lent)


def empty() -> Vessels:
    """No vessel was ever spoken of."""
    return Vessels()
