"""The one line that a deed says where food comes to stand beside what it harms, or what harms it.

Said when the food first comes to stand in that air, and not again: who knows does not need to be
told every week. The deed is done all the same.
"""

from typing import TYPE_CHECKING

from events.lots.state import Lot
from service.console.desk import Desk

if TYPE_CHECKING:
    from events.readings.neighbours import Neighbours


def said(at: Desk, lots: list[Lot], store: str) -> list[str]:
    """A line, where there is one, of lots that are about to be carried to a store."""
    beside = _neighbours(at)
    air = beside.climates.air(store)

    def stands(lot: Lot) -> bool:
        return any(beside.climates.air(p.store) == air and p.high for p in lot.parcels)

    return _line(beside, [lot for lot in lots if not stands(lot)], store)


def came(at: Desk, lot: Lot, store: str) -> list[str]:
    """A line, where there is one, of a lot that has just come in."""
    return _line(_neighbours(at), [lot], store)


def _neighbours(at: Desk) -> "Neighbours":
    from events import tables
    from events.keeping.life import Lives
    from events.readings.climate import Climates
    from events.readings.neighbours import Neighbours

    climates = Climates(at.book.settings, at.book.climate)
    return Neighbours(at.book, climates, Lives(tables.load()))


def _line(beside: "Neighbours", lots: list[Lot], store: str) -> list[str]:
    sentences: dict[str, None] = {}
    for lot in lots:
        if not any(other.food == lot.food for other in beside.beside(store, lot.name)):
            sentences |= dict.fromkeys(clash.sentence for clash in beside.clashes(lot, store))
    if not sentences:
        return []
    first, *others = sentences
    more = f"; and {len(others)} more" if others else ""
    return [f"{first[:1].upper()}{first[1:]}{more}. girnel what-if says where it keeps better."]
