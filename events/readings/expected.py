"""What is expected: ordered, and not all of it here yet. Never stock, and never planned with as such.

Bringing in answers an order by naming it. What came is told against what was ordered where both
are in one unit; in other units whatever came answers all of it. An order that will not come is
taken back like any deed.
"""

from msgspec import Struct

from events import edtf
from events.book import Book
from events.kinds import Amount, Ordered, Received
from events.record import Entry


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
    came: dict[str, list[Entry]] = {}
    for entry in book.entries:
        body = entry.record.body
        if isinstance(body, Received) and body.answers and book.stands(entry.record.name):
            came.setdefault(book.same_record(body.answers), []).append(entry)
    ranked: list[tuple[tuple[bool, int, int, str], Expected]] = []
    for entry in book.entries:
        body, name = entry.record.body, entry.record.name
        if not isinstance(body, Ordered) or not book.stands(name):
            continue
        left = _left(body.amount, came.get(name, []))
        if left is None:
            continue
        lots = tuple(f"{one.record.name}:0" for one in came.get(name, []))
        one = Expected(record=name, at=entry.record.at, order=body, came=lots, to_come=left)
        due = edtf.span(body.due, entry.record.offset)[1] if body.due else None
        ranked.append(((due is None, due or 0, book.place(name), name), one))
    return [one for _, one in sorted(ranked, key=lambda pair: pair[0])]


def _left(ordered: Amount, came: list[Entry]) -> Amount | None:
    """What is still to come, None where it is answered."""
    if not came:
        return ordered
    bodies = [entry.record.body for entry in came]
    amounts = [body.amount for body in bodies if isinstance(body, Received)]
    least = ordered.n if ordered.low is None else ordered.low
    if ordered.n is None or not least:
        return None
    if any(amount.n is None or amount.unit != ordered.unit for amount in amounts):
        return None
    here = sum(amount.n or 0 for amount in amounts)
    if here >= least:
        return None
    return Amount(unit=ordered.unit, n=ordered.n - here)
