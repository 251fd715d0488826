"""How often somebody may ask: a bucket for each name, which fills again with time.

It holds a number a name and forgets those who asked least lately. Rule: time comes from outside.
"""

from collections.abc import Callable

from msgspec import Struct

NAMES = 10_000
"""Names that are kept; what is forgotten begins with a full bucket."""


class Limits(Struct, frozen=True, kw_only=True):
    """What one device may ask, and how often one address may be wrong."""

    each_second: float = 1_000
    """requests a second of one device over time: a page that asks in a ring is slowed down"""
    at_once: float = 10_000
    """requests that a device may make at once: a replica that comes back with years of records"""
    wrong_each_second: float = 0.1
    """refused tokens and codes of one address over time"""
    wrong_at_once: float = 20


class Buckets:
    """Buckets by name: each request takes one out."""

    def __init__(self, each_second: float, most: float, seconds: Callable[[], float]) -> None:
        self._each_second = each_second
        self._most = most
        self._seconds = seconds
        self._left: dict[str, tuple[float, float]] = {}

    def wait(self, name: str) -> float:
        """The seconds until there is one to take, else 0; takes none."""
        left, then = self._left.get(name, (self._most, 0.0))
        left += (self._seconds() - then) * self._each_second
        return 0.0 if left >= 1 else (1 - left) / self._each_second

    def take(self, name: str) -> float:
        """Take one out; the seconds to wait where there is none, else 0."""
        now = self._seconds()
        left, then = self._left.pop(name, (self._most, now))
        left = min(self._most, left + (now - then) * self._each_second)
        wait = 0.0 if left >= 1 else (1 - left) / self._each_second
        self._left[name] = (left if wait else left - 1, now)
        if len(self._left) > NAMES:
            del self._left[next(iter(self._left))]
        return wait
