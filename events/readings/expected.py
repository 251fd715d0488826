"""What is expected: ordered, and not all of it here yet. Never stock, and never planned with as such.

Bringing in answers an order by naming it. What came is told against what was ordered where both
are in one unit; in other units whatever came answers all of it. An order that will not come is
taken back like any deed.
"""

from msgspec import Struct

from events import edtf
from events.book import Book
from events.kinds import Amount, Ordered, Received
from events.projections.orders import left


class Expected(Struct, frozen=True, kw_only=True):
    """An order that is not answered, or not in full."""

    record: str
    at: str
    """when it was ordered, EDTF"""
    order: Ordered
    came: tuple[str, ...]
    """the lots that answer it so far"""
    to_come: Amount
    """what is still to come of it"""


def expected(book: Book) -> list[Expected]:
    """What is still expected, the first due first; without a day last, by when it was ordered."""
    ranked: list[tuple[tuple[bool, int, int, str], Expected]] = []
    for name, came in book.thin.orders.items():
        entry = book.entry(name)
        if entry is None or not isinstance(body := entry.record.body, Ordered):
            continue
        answers = [found.record.body for one in came if (found := book.entry(one)) is not None]
        to_come = left(body.amount, [one for one in answers if isinstance(one, Received)])
        if to_come is None:
            continue
        lots = tuple(f"{one}:0" for one in came)
        one = Expected(record=name, at=entry.record.at, order=body, came=lots, to_come=to_come)
        due = edtf.span(body.due, entry.record.offset)[1] if body.due else None
        ranked.append(((due is None, due or 0, book.place(name), name), one))
    return [one for _, one in sorted(ranked, key=lambda pair: pair[0])]
