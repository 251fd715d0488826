"""Which lots a lot came from and went into. Every parent counts as a whole: nothing is shared out."""

from collections.abc import Callable, Iterable

from msgspec import Struct

from events.book import Book
from events.lots.state import Lot
from events.readings.lots import Measure, amount_json, code_of, measure


class Link(Struct, frozen=True):
    """A lot that this one was made from, or that was made from it."""

    lot: str
    name: str
    food: str
    on_hand: Measure


def reached(start: str, step: Callable[[str], Iterable[str]]) -> list[str]:
    """Every lot that can be reached, nearest first; the start is left out, rings end."""
    found: dict[str, None] = {start: None}
    waiting = [start]
    for lot in waiting:
        for name in step(lot):
            if name not in found:
                found[name] = None
                waiting.append(name)
    return waiting[1:]


def link_to(book: Book, name: str, codes: dict[str, str]) -> Link:
    lot = book.lot(name)
    if lot is None:
        return Link(code_of(name, codes), name, "", Measure("", 0, 0, 0))
    return Link(code_of(name, codes), name, lot.food, on_hand(lot))


def on_hand(lot: Lot) -> Measure:
    """What is left of a lot in all stores."""
    n, low, high = (sum(getattr(parcel, end) for parcel in lot.parcels)
                    for end in ("n", "low", "high"))  # fmt: skip
    return measure(lot.unit, n, low, high)


def link_json(link: Link) -> dict[str, object]:
    """A link as plain data."""
    return {"lot": link.lot, "name": link.name, "food": link.food or None,
            "on_hand": amount_json(link.on_hand)}  # fmt: skip
