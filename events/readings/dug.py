"""Whether food was dug after its day: when new growth, or hard frost, had come by all that fits.

What was dug so late has no published life: no source that was read says how long it keeps. It is to
be used soon. What was dug before that is not looked at here (`ground_late` says where growth may
have begun).
"""

from collections.abc import Sequence
from datetime import UTC, date, timedelta, tzinfo

from events.book import Book
from events.readings.ground import AHEAD, BACK
from events.readings.ground_ends import End, ends_of
from events.readings.ground_reach import local_day, state
from events.tables import Tables
from events.tables.beds import beds


def overdue(
    book: Book, tables: Tables, names: Sequence[str], bed: str, since: int, dug: int
) -> End | None:
    """What had come to a food that stood in a bed from one moment to another (Unix ms); None:
    nothing, as far as is known. Days are those of UTC: by a day nothing here is known anyway.
    """
    day = local_day(dug, UTC)
    ends = ends_by(book, tables, names, bed, local_day(since, UTC), day, day, UTC)
    return next((end for end in ends if end.last is not None and end.last < day), None)


def ends_by(
    book: Book, tables: Tables, names: Sequence[str], bed: str, since: date, dug: date,
    today: date, zone: tzinfo,
) -> tuple[End, ...]:  # fmt: skip
    """What ends the stay of a food in a bed until it was dug, by what was read there up to today."""
    since = min(dug, since)
    first = max(since, dug - timedelta(days=BACK))
    on = state(book, beds(), bed, first, today, (dug - first).days + AHEAD, zone).on
    return ends_of(names, tables, beds(), on, since)[0]


def said(end: End) -> str:
    """Why food that was dug after that has no life, in a clause."""
    if end.what == "new growth":
        return "dug after new growth began: use it soon, no published life"
    return "dug after hard frost: look at each and use it soon, no published life"
