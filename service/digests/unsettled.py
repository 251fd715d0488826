"""What does not add up, in a line each: what is new this week is told, what is older is counted.

It says what is wrong; who said what, when, and what to do about it is in the look for it. It
accuses nobody, and a breach is told once.
"""

from events.book import Book
from events.concerns import Concern
from events.readings import concerns
from service.digests.digest import Item, Section
from service.digests.words import Calendar, Week, of_food

OLD = 100
"""Older concerns that are put in words; the rest are only counted."""


def unsettled(book: Book, codes: dict[str, str], calendar: Calendar, week: Week) -> Section:
    """The concerns that stand, the newest first."""
    items, old = [], 0
    for raised in reversed(book.concerns()):
        before = not any(week.news(book, record) for record in raised.rests_on)
        key = "|".join(["concern", raised.kind, *raised.key[1]])
        old += before
        if before and old > OLD:
            items.append(Item(text="", lot=raised.lot, key=key, short=key, before=True))
            continue
        said = concerns.sentence(book, raised, codes, calendar.zone)
        items.append(
            Item(
                text=f"{_short(said)}{_left(book, raised)}.",
                more=said,
                lot=raised.lot,
                key=key,
                short=_short(said),
                before=before,
            )
        )
    return Section(
        heading="What does not add up",
        items=tuple(sorted(items, key=lambda item: item.before)),
        rest="the look “concerns” says what to do",
    )


def _short(said: str) -> str:
    """What is wrong, without who said it, when, and on which device."""
    what = said.partition(". ")[0].removesuffix(".")
    return what.rpartition(" (")[0] if what.endswith(")") and " (" in what else what


def _left(book: Book, raised: Concern) -> str:
    """What there still is of food that was set aside and went another way."""
    lot = book.lot(raised.lot) if raised.kind == "reserve-short" else None
    if lot is None:
        return ""
    free = [parcel for parcel in lot.parcels if parcel.high > 0]
    if not free:
        return "; none is left"
    n, low, high = (sum(getattr(parcel, side) for parcel in free) for side in ("n", "low", "high"))
    return f"; {of_food(n, low, high, lot.unit, '').strip()} left"
