"""What stood in the ground too long: still there past new growth or frost, or dug after it began.

Undug rows past their end are there and are nothing to count on until somebody looks; what was dug
late keeps less. By how much was read nowhere, so it is a word and never a date.
"""

from collections.abc import Iterable
from datetime import date, tzinfo
from functools import cache

from events.book import Book
from events.edtf import show
from events.readings.called import names_of
from events.readings.dug import ends_by
from events.readings.ground import ground
from events.readings.ground_ends import End
from events.readings.ground_reach import local_day, shut_of
from events.readings.ground_shut import Shut
from events.readings.rotation import Use
from events.tables import Tables


def not_now(
    book: Book, tables: Tables, today: date, zone: tzinfo
) -> dict[tuple[str, str], Shut]:  # fmt: skip
    """By (store, lot): what stands in the ground and is not to be counted on, and why."""
    found: dict[tuple[str, str], Shut] = {}
    for bed in ground(book, tables, today, zone):
        shut = shut_of(bed.closed, bed.reach, today)
        for one in bed.lots:
            past = next((end for end in one.ends if end.last and end.last < today), None)
            if shut is not None and (shut.sure or past is None):
                found[bed.store, one.name] = shut
            elif past is not None and past.last is not None:
                found[bed.store, one.name] = Shut(True, own=False, until=None, since=past.last,
                                                  what=past.what)  # fmt: skip
    return found


def dug_late(
    book: Book, tables: Tables, uses: Iterable[Use], today: date, zone: tzinfo
) -> dict[tuple[str, str], str]:  # fmt: skip
    """By (store, lot): what was dug when new growth, or frost, may have begun, in a sentence."""

    @cache
    def ends(lot: str, bed: str, since: date, dug: date) -> tuple[End, ...]:
        return ends_by(book, tables, names_of(book, book.lots[lot]), bed, since, dug, today, zone)

    found = {}
    for use in uses:
        stay = next((s for s in reversed(use.path.stays[:-1]) if s.exposure is None), None)
        if stay is None or stay.until is None or use.group == "dug late":
            continue
        dug = local_day(stay.until, zone)
        since = min(dug, local_day(stay.since, zone))
        begun = next((e for e in ends(use.lot, stay.store, since, dug) if e.first <= dug), None)
        if begun is not None:
            found[use.store, use.lot] = _late(begun)
    return found


def _late(end: End) -> str:
    since = show(end.first.isoformat())
    if end.what == "new growth":
        return f"Dug when new growth may have begun (from {since}): keeps less, by how much was not read."
    return f"Dug when hard frost may have reached it (from {since}): look at each."
