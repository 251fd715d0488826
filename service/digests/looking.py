"""Go and look: what is held, what an incident befell, jars beside one that failed, jars that nobody
knows, what is in doubt, what nobody has used for a year.

The most pressing first: what comes due, then what may hurt somebody who eats it, then what is marked
and waits. It lists and never decides: a hold ends when somebody releases it, a doubt when somebody
looks. A caution is said in the week in which its mark is new, or its hold comes due.
"""

from collections.abc import Iterator

from events import edtf
from events.book import Book
from events.kinds import Held, Incident
from events.lots.state import Lot, Parcel
from events.readings.beside_failed import waiting
from events.readings.lots import shown
from events.readings.rotation import undecided
from events.readings.untouched import YEAR, Untouched, untouched
from events.tables import Tables
from service.digests.caution import Cautions
from service.digests.digest import Item
from service.digests.words import Calendar, Week, listed, of_food, place

MOST = 3
"""Lots named in one line."""

NOWHERE = "somewhere in the house"


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
    week: Week,
    cautions: Cautions,
) -> list[Item]:
    """What somebody should go and look at, the most pressing first."""
    ranked: list[tuple[int, int, Item]] = []
    for standing in _marks(book).values():
        entry = book.entry(standing.mark)
        moment = book.place(standing.mark) if entry else 0
        body = entry.record.body if entry else None
        until = _until(body, entry.record.offset) if entry and isinstance(body, Held) else None
        called = cautions if week.news(book, standing.mark) or _falls(until, week) else None
        if isinstance(body, Incident):
            ranked.append((2, moment, _incident(standing, body, called)))
        elif isinstance(body, Held):
            due = until is not None and until <= week.end
            item = _hold(standing, body, codes, calendar, moment, due=due, cautions=called)
            ranked.append((0 if due else 4, moment, item))
    ranked.extend((1, moment, item) for moment, item in _beside_failed(book, codes, cautions))
    ranked.extend((5, 0, item) for item in _doubted(book, codes))
    for one in undecided(book, tables):
        much = of_food(one.n, one.low, one.high, one.unit, one.food)
        where = listed([store or NOWHERE for store in one.stores], MOST, "places")
        text = f"{much} {codes.get(one.lot, one.lot)}, {where}: unknown making; decide"
        care = cautions.no_process()
        ranked.append((3, 0, Item(text=text, why=care.says, brief=care.brief, lot=one.lot)))
    ranked.extend((6, one.since, _unused(one, codes)) for one in untouched(book, week.end)
                  if week.has(one.since + YEAR))  # fmt: skip
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


def _falls(until: int | None, week: Week) -> bool:
    return until is not None and week.has(until)


def _hold(
    standing: Standing,
    hold: Held,
    codes: dict[str, str],
    calendar: Calendar,
    moment: int,
    *,
    due: bool,
    cautions: Cautions | None,
) -> Item:
    if cautions is not None:
        for lot, _ in standing.food.values():
            cautions.held(lot, hold)
    lots = [
        f"{_sum(parcels, lot)} {codes.get(lot.name, lot.name)}, {_places(parcels)}"
        for lot, parcels in standing.food.values()
    ]
    reason = hold.reason or hold.programme or "no reason said"
    until = f" to {edtf.show(hold.until)}" if hold.until else ""
    since = f"since {calendar.day(moment)}"
    text = f"{listed(lots, MOST, 'lots')}: held{until}, {reason}"
    if hold.until is None:
        return Item(text=text, why=since, spare=True, lot=hold.lot)
    return Item(text=f"due: {text}" if due else text, more=since, lot=hold.lot)


def _incident(standing: Standing, incident: Incident, cautions: Cautions | None) -> Item:
    if cautions is not None:
        for lot, _ in standing.food.values():
            cautions.befell(lot, incident)
    foods = _foods(standing)
    first, last = _date(incident.start), _date(incident.end or incident.start)
    when = edtf.show(first if first == last else f"{first}/{last}")
    where = f", {incident.store}" if incident.store else ""
    return Item(
        text=f"{incident.what}{where}, {when}: {listed(foods, MOST, 'foods')}",
        more=f"girnel look LOT --in STORE --sound HOW-MANY --for {standing.mark}",
    )


def _foods(standing: Standing) -> list[str]:
    """How much of each food lies under a mark, its lots together, by food."""
    sums: dict[tuple[str, str], list[Parcel]] = {}
    for lot, parcels in standing.food.values():
        sums.setdefault((lot.food, lot.unit), []).extend(parcels)
    found = []
    for (food, unit), parcels in sorted(sums.items()):
        n, low, high = (sum(getattr(p, side) for p in parcels) for side in ("n", "low", "high"))
        found.append(of_food(n, low, high, unit, food))
    return found


def _beside_failed(
    book: Book, codes: dict[str, str], cautions: Cautions
) -> Iterator[tuple[int, Item]]:
    """The jars of a lot of which one failed, until somebody looked at each of them."""
    for lot in book.lots.values():
        unseen = waiting(book, cautions.lives, lot)
        left = [
            p
            for p in lot.parcels
            if p.store in unseen and p.high > 0 and p.opened is None and not p.holds
        ]
        if left:
            text = f"{_sum(left, lot)} {codes.get(lot.name, lot.name)}, {_places(left)}"
            failed = max(unseen.values())
            yield failed, Item(text=f"{text}: a seal failed, look at each", lot=lot.name)


def _unused(one: Untouched, codes: dict[str, str]) -> Item:
    """Food that nobody uses, told in the week in which that is a year."""
    lots = listed([codes.get(lot, lot) for lot in one.lots], MOST, "lots")
    where = listed([store or NOWHERE for store in one.stores], MOST, "places")
    return Item(
        text=f"{shown(one.amount)} {one.food} {lots}, {where}: none used since "
        f"{edtf.show(one.since_on)}; use it, give it, or make no more",
        lot=one.lots[0],
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
    stores = sorted({parcel.store for parcel in parcels})
    return listed([store or NOWHERE for store in stores], MOST, "places")
