"""Get: what is below its mark; what was ordered and comes due, or was due and has not come.

What comes due within a fortnight is told, what is later or has no day is counted. A food that the
household put off to a day (its fact `quiet_until`) is no news before it. An order is no stock.
Limits of this form: how fast a food is used does not enter, nor whether it lasts to harvest.
"""

from datetime import date, timedelta
from fractions import Fraction

from msgspec.structs import replace

from events import edtf
from events.book import Book
from events.quantity import grains, show_amount
from events.readings.expected import Expected, expected
from events.readings.reorder import Need, reorder
from events.readings.rotation import DAY
from service.digests.digest import Item, Section
from service.digests.words import Calendar, Week, of_food, shown

SOON = 14 * DAY
"""How far ahead of its day an order is told of, milliseconds."""


def get(book: Book, calendar: Calendar, week: Week) -> Section:
    """What is to come into the house: what is low, then what is ordered, the first due first."""
    low = [_low(need, calendar, week) for need in reorder(book, week.end).needs if need.get]
    low = [_put_off(book, one, calendar.today(week.end)) for one in low]
    items = sorted(low, key=lambda one: one.quiet)
    later = 0
    for one in expected(book):
        due = _due(book, one)
        if due is None or due > week.end + SOON:
            later += 1
            continue
        when = f"due {edtf.show(one.order.due or '')}"
        late = due < week.end
        if late:
            when = f"was {when} and has not come: ask"
        items.append(
            Item(
                text=f"{_what(one)}: {when}",
                more=f"ordered by record {one.record}",
                key=f"{'late' if late else 'due'}|{one.record}",
                short=one.order.food,
            )
        )
    rest = f"{later} more on order" if later else ""
    return Section(heading="Get", items=tuple(items), rest=rest)


def _put_off(book: Book, low: Item, today: date) -> Item:
    """The same as no news, where the food was put off to a day that is not there yet."""
    said = book.settings.foods.get(low.short, {}).get("quiet_until", "")
    until = day_said(said)
    if until is None or until <= today:
        return low
    what = low.text.partition(": ")[0]
    return replace(low, text=f"{what}: quiet until {shown(until)}", quiet=True)


def day_said(said: str) -> date | None:
    """A day as the fact has it, like 2026-12-20; None where it is none."""
    try:
        return date.fromisoformat(said) if said.count("-") == 2 else None
    except ValueError:
        return None


def _low(need: Need, calendar: Calendar, week: Week) -> Item:
    """How much to get, by when it would be here, and why."""
    marks = need.marks
    packs = ""
    if need.packs:
        many = show_amount(grains(Fraction(need.packs)), "pack")
        packs = f" ({many} of {_shown(marks.pack, need)})"
    here = calendar.today(week.end) + timedelta(days=marks.lead_days)
    when = f"now, here by {shown(here)}" if marks.lead_days else "now"
    waiting = "; what is expected is not enough" if need.waiting else ""
    return Item(
        key=f"low|{marks.food}",
        short=marks.food,
        text=f"{_shown(need.get, need)}{packs} {marks.food}: {when}",
        why=f"{_shown(need.there, need) if need.there else 'none'} there, low below {_shown(marks.refill, need)}{waiting}",
    )


def _shown(n: Fraction | None, need: Need) -> str:
    return show_amount(grains(n or Fraction(0)), need.marks.unit)


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
