"""When a lot's keeping starts: the day it was made or picked, the end of curing, else its coming in.

Whatever was said of it later goes before what was said when it came in. A calendar date stays a
date. How long it keeps from then on is worked out elsewhere.
"""

from functools import lru_cache
from typing import TYPE_CHECKING

from events.edtf import Span, span
from events.kinds import Received
from events.lots.state import Lot

if TYPE_CHECKING:
    from events.dates import Printed


def started(lot: Lot, maker: "Printed | None") -> tuple[tuple[int, int], int | None]:
    """(earliest, latest) moment at which its own keeping starts, Unix milliseconds; and minutes east
    of UTC where it was said as a date; None: by the clock.

    `maker`: what the maker printed on it. Food that was packed anew is older (`packed`).
    """
    earliest, latest = lot.made_earliest, lot.made_place
    if lot.maker is None:
        return (earliest, latest), None
    said, cured = _said(lot, maker)
    offset = None if "T" in (said or lot.maker.at) else lot.maker.offset
    found = _span(said, lot.maker.offset) if said else None
    if found is None:
        return (earliest, latest), offset
    first, last = found
    if last is not None:
        latest = last if cured else min(last, latest)
    return (min(latest, earliest if first is None else first), latest), offset


def ageless(lot: Lot) -> bool:
    """Whether nobody knows how old it is: it was found, and nothing says when it was made."""
    body = lot.maker.body if lot.maker else None
    if not isinstance(body, Received) or body.origin != "found":
        return False
    from events.readings.stamped import maker_of  # prints are read where there is one to read

    return not _said(lot, maker_of(lot))[0]


@lru_cache(maxsize=65_536)
def _span(said: str, offset: int) -> Span | None:
    try:
        return span(said, offset)
    except ValueError:  # a fact is free text, and may say what no calendar knows
        return None


def said_apart(lot: Lot) -> bool:
    """Whether it was learnt later when its keeping starts."""
    return bool(lot.facts.get("keeping_from") or lot.facts.get("made_at"))


def _said(lot: Lot, maker: "Printed | None") -> tuple[str, bool]:
    """When its keeping starts, where that was said apart from when it came in; after curing?"""
    cured = lot.facts.get("keeping_from", "")
    if cured:
        return cured, True
    made_at = lot.facts.get("made_at", "")
    body = lot.maker.body if lot.maker else None
    if not isinstance(body, Received):
        return made_at, False
    if body.keeping_from:
        return body.keeping_from, True
    packed = maker.at if maker is not None and maker.kind == "packed" else None
    return made_at or body.made_at or packed or "", False
