"""The codes of a household's lots beside each other: which are alike, and how long each must be.

The lots to hand are sorted here; those that were put by are looked up in the past.
"""

from bisect import bisect_left
from collections.abc import Mapping

from events import codes
from events.lots.state import Lot
from events.past import Past


class Signs:
    """The signs of every lot's name."""

    def __init__(self, lots: Mapping[str, Lot], past: Past) -> None:
        self._lots = lots
        self._past = past
        self._sorted: list[tuple[str, str]] | None = None

    def forget(self) -> None:
        """The lots have changed."""
        self._sorted = None

    def near(self, signs: str) -> tuple[str, str]:
        """The signs that sort just before and just after; "" where none does."""
        mine = self._mine()
        at = after = bisect_left(mine, (signs, ""))
        while after < len(mine) and mine[after][0] == signs:
            after += 1
        before = mine[at - 1][0] if at else ""
        behind = mine[after][0] if after < len(mine) else ""
        beside = self._past.near(signs)
        return max(before, beside[0]), min(filter(None, (behind, beside[1])), default="")

    def coded(self, typed: str) -> list[str]:
        """The lots that a typed code may mean. Raises NotUnderstood where it is no code."""
        names = [name for lot in self._lots.values() for name in lot.names]
        put_by = codes.find_among(typed, self._past.beginning)
        return list(dict.fromkeys([*codes.find(typed, names), *put_by]))

    def _mine(self) -> list[tuple[str, str]]:
        if self._sorted is None:
            names = {name for lot in self._lots.values() for name in lot.names}
            self._sorted = sorted((codes.signs(name), name) for name in names)
        return self._sorted
