"""Get: what was ordered and comes due, or was due and has not come. An order is no stock.

What comes due within a fortnight is told, what is later or has no day is counted.
"""

from events import edtf
from events.book import Book
from events.readings.expected import Expected, expected
from events.readings.rotation import DAY
from service.digests.digest import Item, Section
from service.digests.words import Week, of_food

SOON = 14 * DAY
"""How far ahead of its day an order is told of, milliseconds."""


def get(book: Book, week: Week) -> Section:
    """What is to come into the house, the first due first."""
    items: list[Item] = []
    later = 0
    for one in expected(book):
        due = _due(book, one)
        if due is None or due > week.end + SOON:
            later += 1
            continue
        when = f"due {edtf.show(one.order.due or '')}"
        if due < week.end:
            when = f"was {when} and has not come: ask"
        items.append(Item(text=f"{_what(one)}: {when}", more=f"ordered by record {one.record}"))
    rest = f"{later} more on order" if later else ""
    return Section(heading="Get", items=tuple(items), rest=rest)


def _due(book: Book, one: Expected) -> int | None:
    """The last moment at which it is due, Unix milliseconds; None: no day was said."""
    entry = book.entry(one.record)
    if entry is None or not one.order.due:
        return None
    return edtf.span(one.order.due, entry.record.offset)[1]


def _what(one: Expected) -> str:
    much, order = one.to_come, one.order
    whose = f" from {order.supplier}" if order.supplier else ""
    if much.n is None:
        return f"{much.said or 'some'} {order.food}{whose}"
    low = much.n if much.low is None else much.low
    high = much.n if much.high is None else much.high
    return f"{of_food(much.n, low, high, much.unit, order.food, order.variety or '')}{whose}"
