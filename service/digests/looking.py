"""Go and look: what is held, what an incident befell, what is in doubt, jars that nobody knows.

It lists and never decides: a hold ends when somebody releases it, a doubt when somebody looks.
"""

from events import edtf
from events.book import Book
from events.kinds import Held, Incident
from events.lots.state import Lot, Parcel
from events.readings.rotation import undecided
from events.tables import Tables
from service.digests.caution import Cautions
from service.digests.digest import Item
from service.digests.words import Calendar, listed, of_food, place

MOST = 3
"""Lots named in one line."""


class Standing:
    """What lies under one mark: a hold's or an incident's record, and the food still under it."""

    def __init__(self, mark: str) -> None:
        self.mark = mark
        self.food: dict[str, tuple[Lot, list[Parcel]]] = {}

    def add(self, lot: Lot, parcel: Parcel) -> None:
        self.food.setdefault(lot.name, (lot, []))[1].append(parcel)


def look(
    book: Book,
    tables: Tables,
    codes: dict[str, str],
    calendar: Calendar,
    now_ms: int,
    cautions: Cautions,
) -> list[Item]:
    """What somebody should go and look at, the most pressing first."""
    ranked: list[tuple[int, int, Item]] = []
    for standing in _marks(book).values():
        entry = book.entry(standing.mark)
        moment = book.place(standing.mark) if entry else 0
        body = entry.record.body if entry else None
        if isinstance(body, Incident):
            ranked.append((1, moment, _incident(standing, body, cautions)))
        elif isinstance(body, Held):
            until = _until(body, entry.record.offset if entry else 0)
            due = until is not None and until <= now_ms
            item = _hold(standing, body, codes, calendar, moment, due=due, cautions=cautions)
            ranked.append((0 if due else 2, moment, item))
    ranked.extend((3, 0, item) for item in _doubted(book, codes))
    for one in undecided(book, tables):
        much = of_food(one.n, one.low, one.high, one.unit, one.food)
        where = listed([place(store) for store in one.stores], MOST, "places")
        text = (
            f"{much} {codes.get(one.lot, one.lot)} {where}: contents or making "
            "not known, not offered; decide"
        )
        ranked.append((4, 0, Item(text=text, why=cautions.no_process(), lot=one.lot)))
    return [item for _, _, item in sorted(ranked, key=lambda found: found[:2])]


def _marks(book: Book) -> dict[str, Standing]:
    """The food on hand under each hold, by the record that laid it."""
    found: dict[str, Standing] = {}
    for lot in book.lots.values():
        for parcel in lot.parcels:
            if parcel.high > 0:
                for mark in {record for record, _ in parcel.holds}:
                    found.setdefault(mark, Standing(mark)).add(lot, parcel)
    return found


def _until(hold: Held, offset: int) -> int | None:
    """The first moment at which the hold may be over, None where none was said."""
    return edtf.span(hold.until, offset)[0] if hold.until else None


def _hold(
    standing: Standing,
    hold: Held,
    codes: dict[str, str],
    calendar: Calendar,
    moment: int,
    *,
    due: bool,
    cautions: Cautions,
) -> Item:
    for lot, _ in standing.food.values():
        cautions.held(lot, hold)
    lots = [
        f"{_sum(parcels, lot)} {codes.get(lot.name, lot.name)} {_places(parcels)}"
        for lot, parcels in standing.food.values()
    ]
    reason = hold.reason or hold.programme or "no reason said"
    until = f" until {edtf.show(hold.until)}" if hold.until else ""
    text = f"{listed(lots, MOST, 'lots')}: held{until}, {reason}, since {calendar.day(moment)}"
    return Item(text=f"due: {text}" if due else text, lot=hold.lot)


def _incident(standing: Standing, incident: Incident, cautions: Cautions) -> Item:
    for lot, _ in standing.food.values():
        cautions.befell(lot, incident)
    foods = sorted({lot.food for lot, _ in standing.food.values()})
    when = edtf.show(f"{_date(incident.start)}/{_date(incident.end)}" if incident.end
                     else _date(incident.start))  # fmt: skip
    lots = len(standing.food)
    return Item(
        text=f"{incident.what} {place(incident.store)}, {when}: {lots} "
        f"{'lot' if lots == 1 else 'lots'} to look at ({listed(foods, MOST, 'foods')})"
    )


def _date(said: str) -> str:
    """The days of an EDTF text; its clock times are left to the trail."""
    return "/".join(part.partition("T")[0] for part in said.split("/"))


def _doubted(book: Book, codes: dict[str, str]) -> list[Item]:
    items = []
    for lot in book.lots.values():
        doubted: dict[str, list[Parcel]] = {}
        for parcel in lot.parcels:
            if parcel.doubt and parcel.high > 0:
                doubted.setdefault(parcel.store, []).append(parcel)
        for store, parcels in sorted(doubted.items()):
            items.append(
                Item(
                    text=f"perhaps {_sum(parcels, lot)} "
                    f"{codes.get(lot.name, lot.name)} {place(store)}, perhaps none: not named "
                    "when all of it was counted; where now?",
                    lot=lot.name,
                )
            )
    return items


def _sum(parcels: list[Parcel], lot: Lot) -> str:
    return of_food(
        sum(p.n for p in parcels),
        sum(p.low for p in parcels),
        sum(p.high for p in parcels),
        lot.unit,
        lot.food,
        lot.variety,
    )


def _places(parcels: list[Parcel]) -> str:
    return listed([place(store) for store in sorted({p.store for p in parcels})], MOST, "places")
