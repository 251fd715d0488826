"""What stands in the ground: how much, how warm, when it can be dug, and by when it has to be.

A bed is a store of kind `ground`. An end is an event with a range, not a date: new growth, or frost
that the crop does not stand. Thresholds are published for stores mostly, and are laid on the soil.
It says nothing of wet, mice or frost heave; a bed of whose soil nothing was said has no dates. It
is about quality and argues no food sound.
"""

from collections.abc import Sequence
from datetime import date, timedelta, tzinfo

from msgspec import Struct

from events.book import Book
from events.lots.places import within
from events.lots.state import Lot
from events.readings.bed_rows import Rows, rows_of
from events.readings.called import names_of
from events.readings.ground_course import Course, Stretch
from events.readings.ground_ends import End, ends_of, stands_frost
from events.readings.ground_reach import Reach, local_day, state
from events.readings.lots import Measure
from events.readings.rows import Row, parcels
from events.readings.soils import Said
from events.tables import Tables
from events.tables.beds import Beds, beds

AHEAD = 400
"""Days that are looked ahead: a year and a month."""
BACK = 800
"""Days back at most: food that has stood longer was overlooked."""


class InGround(Struct, frozen=True, kw_only=True):
    """One lot in one bed."""

    lot: str
    """its short code"""
    name: str
    food: str
    variety: str
    since: date
    offered: Measure
    """what may be planned with"""
    apart: tuple[tuple[str, Measure], ...]
    """what is kept back as seed or held, in doubt or somebody else's: why, and how much"""
    rows: Rows | None
    ends: tuple[End, ...]
    """by when it has to be dug, the earliest first"""
    why_none: str
    """why there is no end, where there is none"""
    stands_frost: bool

    @property
    def there(self) -> bool:
        return bool(self.offered.high != 0 or self.apart)


class Bed(Struct, frozen=True, kw_only=True):
    """One bed on one day."""

    store: str
    soil: Said | None
    unread: str
    """a fact of the bed that is not understood, in a sentence"""
    celsius: tuple[float, float, float] | None
    """at the roots, the week's mean: coldest, middle, warmest that fits"""
    read: tuple[date, float] | None
    """the newest reading in the bed"""
    reach: Reach
    """whether it can be dug on that day"""
    closed: tuple[Stretch, ...]
    """when it cannot be dug: frozen, or by the household's own word"""
    lots: tuple[InGround, ...]
    on: Course | None
    """how warm it is day by day, from when the oldest food stands there to a year ahead"""

    def reachable(self, day: date) -> bool:
        """Not surely frozen or closed on a day."""
        return not any(s.sure and s.first <= day <= s.last for s in self.closed)


def ground(book: Book, tables: Tables, today: date, zone: tzinfo, store: str = "") -> list[Bed]:
    """Every bed with food in it, in the store or the household, as it is on that day."""
    if not any(facts.get("kind") == "ground" for facts in book.settings.stores.values()):
        return []  # what there is is not gone through in a house without a bed
    known = beds()
    rows = [row for row in parcels(book) if within(row.store, store)]
    places: dict[str, list[Row]] = {}
    for row in rows:
        if book.settings.kind_of(row.store) == "ground":
            places.setdefault(row.store, []).append(row)
    for bed in book.settings.stores:
        if within(bed, store) and book.settings.kind_of(bed) == "ground":
            places.setdefault(bed, [])
    named = [
        _bed(book, tables, known, place, places[place], today, zone) for place in sorted(places)
    ]
    return [bed for bed in named if bed.lots or bed.soil or bed.unread]


def _bed(
    book: Book, tables: Tables, known: Beds, store: str, rows: Sequence[Row], today: date,
    zone: tzinfo,
) -> Bed:  # fmt: skip
    since = {row.name: _since(book.lots[row.name], zone, today) for row in rows}
    first = min([today, *since.values()])
    first = max(first, today - timedelta(days=BACK))
    is_now = state(book, known, store, first, today, (today - first).days + AHEAD, zone)
    on = is_now.on
    by_lot: dict[str, list[Row]] = {}
    for row in rows:
        by_lot.setdefault(row.name, []).append(row)
    lots = [_lot(book, tables, known, store, of, on, since[name]) for name, of in by_lot.items()]
    lots.sort(key=lambda one: (one.ends[0].first if one.ends else date.max, one.food, one.lot))
    return Bed(store=store, soil=is_now.soil, unread=is_now.unread,
               celsius=None if on is None else on.on(today),
               read=is_now.read[-1] if is_now.read else None, reach=is_now.reach(today),
               closed=is_now.closed, lots=tuple(lots), on=on)  # fmt: skip


def _since(lot: Lot, zone: tzinfo, today: date) -> date:
    """The day from which it has stood there, as far as is known."""
    return min(today, local_day(lot.made_place, zone))


# -- one lot ---------------------------------------------------------------------------------------


def _lot(
    book: Book, tables: Tables, known: Beds, store: str, rows: Sequence[Row], on: Course | None,
    since: date,
) -> InGround:  # fmt: skip
    first = rows[0]
    lot = book.lots[first.name]
    offered = Measure(lot.unit, 0, 0, 0)
    apart: dict[str, Measure] = {}
    for row in rows:
        if row.offered:
            offered = offered.plus(row.amount)
        else:
            why = _why_apart(row)
            apart[why] = apart.get(why, Measure(lot.unit, 0, 0, 0)).plus(row.amount)
    names = names_of(book, lot)
    ends, why = ends_of(names, tables, known, on, since)
    return InGround(lot=first.lot, name=first.name, food=lot.food, variety=lot.variety, since=since,
                    offered=offered, apart=tuple(sorted(apart.items())), rows=rows_of(book, lot, store),
                    ends=ends, why_none=why, stands_frost=stands_frost(names, tables, known))  # fmt: skip


def _why_apart(row: Row) -> str:
    if row.owner:
        return f"of {row.owner}"
    if row.in_doubt:
        return "in doubt"
    return "held" if row.held else "kept back"
