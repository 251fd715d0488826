"""What does not add up, in a line each: what is new this week is told, what is older is counted.

It says what is wrong; who said what, when, and what to do about it is in the look for it. It
accuses nobody, and a breach is told once.
"""

from events.book import Book
from events.concerns import Concern, ConcernKind
from events.readings import concerns
from service.digests.digest import Item, Section
from service.digests.words import Calendar, Week, of_food

WHAT_TO_DO = "girnel concerns says what to do"

SHORT: dict[ConcernKind, str] = {
    "unknown-lot": "a lot that nobody brought in",
    "making-taken-back": "{} taken back",
    "unknown-mark": "a hold on {} that is not there",
    "other-unit": "{} in another unit",
    "more-than-known": "more {} than was logged",
    "picked-short": "more {} taken than the lot had",
    "carried-unsaid": "{} elsewhere than logged",
    "moved-short": "{} moved twice?",
    "count-differs": "a count of {}",
    "estimate-off": "an estimate of {}",
    "before-or-after-count": "{} before or after a count?",
    "explains-nothing": "{}, which count?",
    "reserve-short": "{} that was set aside",
    "held-used": "{} used while held",
    "used-before-hold": "{} used before its hold",
    "may-have-stood": "{} of no known place",
    "clock-off": "a device's clock",
    "same-source": "a line entered twice",
    "maybe-double": "{} written down twice?",
    "void-ring": "takings-back in a ring",
    "unknown-record": "a record that is not here",
    "unread-record": "a record that cannot be read here",
    "same-name": "a device set back",
    "gap-in-device": "a device with more to send",
}
"""Each in a few words, for the list of what still stands."""

OLD = 100
"""Older concerns that are put in words; the rest are only counted."""


def unsettled(book: Book, codes: dict[str, str], calendar: Calendar, week: Week) -> Section:
    """The concerns that stand, the newest first."""
    items, old = [], 0
    for raised in reversed(book.concerns()):
        before = not any(week.news(book, record) for record in raised.rests_on)
        key = "|".join(["concern", raised.kind, *raised.key[1]])
        old += before
        named = _named(book, raised)
        if before and old > OLD:
            items.append(Item(text="", lot=raised.lot, key=key, short=named, before=True))
            continue
        said = concerns.sentence(book, raised, codes, calendar.zone)
        items.append(
            Item(
                text=f"{_short(said)}{_left(book, raised)}.",
                more=said,
                lot=raised.lot,
                key=key,
                short=named,
                before=before,
            )
        )
    return Section(
        heading="What does not add up",
        items=tuple(sorted(items, key=lambda item: item.before)),
        rest=WHAT_TO_DO,
    )


def _short(said: str) -> str:
    """What is wrong, without who said it, when, and on which device."""
    what = said.partition(". ")[0].removesuffix(".")
    return what.rpartition(" (")[0] if what.endswith(")") and " (" in what else what


def _named(book: Book, raised: Concern) -> str:
    lot = book.lot(raised.lot) if raised.lot else None
    return SHORT[raised.kind].format(lot.food if lot is not None and lot.food else "food")


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
