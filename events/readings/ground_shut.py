"""Why what stands in the ground is not to be counted on now, as a value and in a few words.

Apart from how it is found (`ground_reach`, `ground_late`), so that whoever lists food needs no soil.
"""

from collections.abc import Mapping
from datetime import date
from typing import TypeAlias

from msgspec import Struct

from events.edtf import show


class Shut(Struct, frozen=True):
    """Why what stands in the ground is not to be counted on now, surely or perhaps."""

    sure: bool
    own: bool
    """by the household's own word, not for frost"""
    until: tuple[date, date] | None
    """the last day of it: by the warmest that fits, and by the coldest; None: none is in sight"""
    since: date | None = None
    """past its day to dig, since then; None: it cannot be dug"""
    what: str = ""
    """what it should have been dug before"""

    @property
    def words(self) -> str:
        """In a few words, for beside an amount."""
        if self.since is not None:
            return f"{self.what} since {show(self.since.isoformat())}: look at each"
        if not self.sure:
            return "perhaps frozen: try with a fork"
        why = "closed" if self.own else "frozen"
        if self.until is None:
            return f"{why}: not food now"
        first, last = self.until
        when = show(f"{first}/{last}") if first != last else show(first.isoformat())
        return f"{why} until {when}: not food now"


Shuts: TypeAlias = Mapping[tuple[str, str], Shut]
"""By (store, lot): what stands in the ground and is not to be counted on now."""

NONE_SHUT: Shuts = {}
