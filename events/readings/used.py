"""How much of what it keeps a food has used up: shares, and a line of signs that shows them.

Always a range, for no life is one day. The line runs from when keeping began to its `to`; letters
stand for from, likely and to, so that neither colour nor place alone carries meaning. It is about
quality: food past its line is not thereby bad, nor food before it safe.
"""

from msgspec import Struct

from events.keeping.rates import WHOLE, End
from events.readings.lived import Path
from events.readings.rotation import Use

MOST = 999


class Shares(Struct, frozen=True):
    """Parts of its life that are used, in per cent; over a hundred where that is past."""

    least: int | None
    """by its high end; None: the high end is open"""
    likely: int | None
    most: int
    """by its low end"""


def used(use: Use, now_ms: int) -> Shares | None:
    """The shares used by `now_ms` (Unix milliseconds); None: it has no time."""
    if use.from_ms is None:
        return None
    if not use.by_maker:
        most = _of_path(use.path, "low", now_ms)
        if use.to_ms is None or use.likely_ms is None:
            return Shares(None, None, most)
        fewest = _of_path(use.path, "high", now_ms)
        middle = _share(use.since, use.likely_ms, now_ms)
        return Shares(fewest, max(fewest, min(middle, most)), most)
    least = None if use.to_ms is None else _share(use.since_latest, use.to_ms, now_ms)
    likely = None if use.likely_ms is None else _share(use.since, use.likely_ms, now_ms)
    return Shares(least, likely, _share(use.since, use.from_ms, now_ms))


def _of_path(path: Path, end: End, now_ms: int) -> int:
    """Whole per cent; a day's rate is rounded, so a billionth short counts as reached."""
    return min(MOST, 100 * (path.used(end, now_ms) + WHOLE // 10**9) // WHOLE)


def _share(since: int, end: int, now: int) -> int:
    gone = max(0, now - since)
    return MOST if end <= since else min(MOST, 100 * gone // (end - since))


def line(use: Use, now_ms: int, signs: int) -> str:
    """The line: "=" used, "." left, f from, l likely, t to; ">" past it, "+" open at its end."""
    if use.from_ms is None:
        return ""
    end = use.from_ms if use.to_ms is None else use.to_ms

    def at(ms: int) -> int:
        return signs if end <= use.since else (ms - use.since) * signs // (end - use.since)

    gone = at(now_ms)
    drawn = ["=" if place < gone else "." for place in range(signs)]
    for letter, ms in (("f", use.from_ms), ("l", use.likely_ms), ("t", use.to_ms)):
        if ms is not None:
            drawn[max(0, min(signs - 1, at(ms)))] = letter
    tail = "+" if use.to_ms is None else ">" if now_ms > end else ""
    return f"[{''.join(drawn)}]{tail}"
