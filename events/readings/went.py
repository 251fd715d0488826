"""How food went that should not have, or was not there: in words for a concern, and whom to tell.

Not what went: that the postings say. The rule: a word here asks, and accuses nobody.
"""

from events.book import Book
from events.concerns import Concern
from events.kinds import Gave, Planted
from events.lots.places import within
from events.readings.finding import lots_of
from events.readings.lots import recipient
from events.readings.words import store_name


def how(book: Book, name: str) -> tuple[str, str]:
    """What became of the food, by the record, and who should hear that it was held.

    No verb that would have to know how many.
    """
    entry = book.entry(name)
    body = None if entry is None else entry.record.body
    if isinstance(body, Gave):
        to = recipient(book.lot(body.lot), body.to)
        if not to:
            return "given away", "See who was given it, and tell them."
        return f"given to {to}", f"Tell {to}."
    return "planted" if isinstance(body, Planted) else "used", "See who ate it, and tell them."


def picked_short(book: Book, concern: Concern, place: str) -> str:
    """What to do where a device chose the lot, by what is known of that food there and elsewhere."""
    lot = book.lot(concern.lot)
    if lot is None:
        return "Count that food there."
    lots = lots_of(book, lot.food)
    stores = sorted({p.store for one in lots for p in one.parcels if p.high})
    there = [one for one in lots if one is not lot and any(
        parcel.high and within(parcel.store, concern.store) for parcel in one.parcels)]  # fmt: skip
    if there:
        return (
            "The device chose the lot, so another lot there is likely lower: count that food there."
        )
    if stores and not any(within(store, concern.store) for store in stores):
        known = " and ".join(store_name(store) for store in stores[:3])
        return (
            f"None of it is known there, but in {known}: another store? Undo it and say from where, "
            f"or count it in {place}."
        )
    return (
        "So much of it is not known: another amount? Bring in what was forgotten, count it there, "
        "or undo that record."
    )
