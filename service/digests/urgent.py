"""What cannot wait for the week: a held lot's day that is near or come, a store too warm, frost.

The looks that come due by a day of their own are those at held food: each is told once, from a day
before its day to a day after it, so that a machine that was off over night tells it too; what still
stands then is the week's list's. Pure, and as far as what was said goes: without a reading nothing
is known of a store, and a forecast is not read here. Any other cause is told once a day at the most.
It says what was read and what is published; it never says that food is safe.
"""

from datetime import date

from msgspec import Struct

from events import edtf
from events.book import Book
from events.kinds import Held
from events.lots.places import within
from events.lots.state import Parcel
from events.projections.climate import Reading
from events.readings.lots import codes_of
from events.readings.rotation import DAY
from events.tables import Tables
from service.digests.caution import Cautions
from service.digests.words import Calendar, listed, of_food

HOUR = DAY // 24
FRESH = 12 * HOUR
"""A reading older than this says nothing of tonight."""

FROST_MILLI = 2_000
"""At 2 °C in the open in the evening the night's low is likely below freezing: a reckoning of ours,
from memory; no source was read."""

MOST_MILLI = {"freezer": -15_000, "refrigerator": 4_400, "fridge": 4_400}
"""Above this, thousandths of a degree Celsius, somebody goes and looks. 40 °F, above which
perishable food may stand two hours (`thawed` in the cautions); 0 °F, at which a freezer is kept, and
about three degrees of grace for its door, which are from memory."""

GO_AND_LOOK = (
    "Go and look: is the door shut, is there power? Keep it shut meanwhile. girnel incident says "
    "what befell it, and holds what stood there."
)
COVER_IT = (
    "Nobody has forecast here whether it freezes tonight (2 °C is our own line, no source read): "
    "cover it, or carry in what frost takes."
)


class Note(Struct, frozen=True, kw_only=True):
    """One thing that cannot wait."""

    cause: str
    """short and the same all day, like hold-console-12 or cold-chest-freezer"""
    title: str
    lines: tuple[str, ...]
    day: date | None = None
    """the day that it is about, where it is told but once; None: it is told of the day it is told on"""


def notes(book: Book, tables: Tables, now_ms: int, timezone: str) -> list[Note]:
    """What cannot wait at `now_ms` (Unix ms)."""
    calendar = Calendar(timezone)
    return [
        *_ending(book, tables, now_ms),
        *_out_of_range(book, tables, now_ms, calendar),
        *_frost(book, now_ms, calendar),
    ]


def period(day: date, cause: str) -> str:
    """The day and cause that a note is claimed under: “2026-11-22 hold-console-12”."""
    return f"{day.isoformat()} {cause}"[:200]


def _ending(book: Book, tables: Tables, now_ms: int) -> list[Note]:
    """Holds that may be over within a day, or since a day, with the food still under them."""
    under: dict[str, list[tuple[str, list[Parcel]]]] = {}
    for lot in book.lots.values():
        held: dict[str, list[Parcel]] = {}
        for parcel in lot.parcels:
            if parcel.high > 0:
                for mark in {record for record, _ in parcel.holds}:
                    held.setdefault(mark, []).append(parcel)
        for mark, parcels in held.items():
            under.setdefault(mark, []).append((lot.name, parcels))
    codes = codes_of(book)
    found = []
    for mark, lots in sorted(under.items()):
        entry = book.entry(mark)
        hold = entry.record.body if entry else None
        if entry is None or not isinstance(hold, Held) or not hold.until:
            continue
        first, _ = edtf.span(hold.until, entry.record.offset)
        if first is None or not now_ms - DAY < first <= now_ms + DAY:
            continue
        said = [_food(book, name, parcels, codes) for name, parcels in lots]
        cautions = Cautions(book, tables)
        for name, _ in lots:
            cautions.held(book.lots[name], hold)
        why = hold.reason or hold.programme or "no reason said"
        found.append(
            Note(
                cause=f"hold-{mark.replace(':', '-')}",
                title=f"Held to {edtf.show(hold.until)}: {listed(said, 2, 'lots')}",
                lines=(
                    f"{listed(said, 6, 'lots')}: held to {edtf.show(hold.until)}, {why}.",
                    "It is held until somebody looks and releases it: girnel release LOT.",
                    *(care.says for care in cautions.said()),
                ),
                day=date.fromisoformat(edtf.date_of(first, entry.record.offset)),
            )
        )
    return found


def _food(book: Book, name: str, parcels: list[Parcel], codes: dict[str, str]) -> str:
    lot = book.lot(name)
    assert lot is not None
    n, low, high = (sum(getattr(p, side) for p in parcels) for side in ("n", "low", "high"))
    return f"{of_food(n, low, high, lot.unit, lot.food, lot.variety)} {codes.get(name, name)}"


def _latest(book: Book, store: str, now_ms: int) -> Reading | None:
    """The last temperature read there, if it is of the last hours."""
    read = [one for one in book.climate.between(store, now_ms - FRESH, now_ms)
            if one.celsius_milli is not None]  # fmt: skip
    return read[-1] if read else None


def _out_of_range(book: Book, tables: Tables, now_ms: int, calendar: Calendar) -> list[Note]:
    found = []
    for store in sorted(book.climate.readings):
        kind = book.settings.kind_of(store) or ""
        most, read = MOST_MILLI.get(kind), _latest(book, store, now_ms)
        if most is None or read is None or (read.celsius_milli or 0) <= most:
            continue
        cautions = Cautions(book, tables)
        cautions.called.add("thawed")
        when = f"{_degrees(read)} at {_clock(read.place, calendar)}"
        lines = (
            f"{store} ({kind}) was read at {when}; above {most / 1000:g} °C somebody looks.",
            GO_AND_LOOK,
            *(care.says for care in cautions.said()),
        )
        title = f"{store} is too warm: {_degrees(read)}"
        found.append(Note(cause=f"warm-{store}", title=title, lines=lines))
    return found


def _frost(book: Book, now_ms: int, calendar: Calendar) -> list[Note]:
    """A cold reading of today in the open, where something stands that frost takes."""
    found = []
    for store in sorted(book.climate.readings):
        kind, read = book.settings.kind_of(store), _latest(book, store, now_ms)
        if kind not in {"ground", "outbuilding"} or read is None:
            continue
        stands = _standing_in(book, store)
        if (read.celsius_milli or 0) > FROST_MILLI or not stands:
            continue
        when = f"{_degrees(read)} at {_clock(read.place, calendar)}"
        lines = (
            f"{store} was read at {when}; there: {listed(stands, 8, 'foods')}.",
            COVER_IT,
        )
        title = f"Frost may come to {store}: {_degrees(read)}"
        found.append(Note(cause=f"frost-{store}", title=title, lines=lines))
    return found


def _standing_in(book: Book, store: str) -> list[str]:
    """The foods that stand in a store or its parts."""
    return sorted(
        {
            lot.food
            for lot in book.lots.values()
            for parcel in lot.parcels
            if parcel.high > 0 and within(parcel.store, store)
        }
    )


def _degrees(read: Reading) -> str:
    celsius = (read.celsius_milli or 0) / 1000
    return f"{celsius:.1f} °C ({celsius * 9 / 5 + 32:.0f} °F)"


def _clock(ms: int, calendar: Calendar) -> str:
    return f"{calendar.clock(ms)} on {calendar.day(ms)}"
