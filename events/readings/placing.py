"""Where a lot would keep best: its life in each store, and what must not be there.

The same reckoning as the order of use, with changed facts: the lot carried to a store now, a
machine that runs in certain months, a warmer winter. Beside each date stand in words the
neighbours that clash, light, damp, frost and the room that is left, where those are known. What
nobody stated or read is said to be assumed or not known; nothing here argues a food safe.
"""

from collections.abc import Iterable
from fractions import Fraction

from msgspec import Struct

from events.keeping.curve import DAY
from events.keeping.life import Answer, Life
from events.kinds import GRAIN
from events.lots.places import within
from events.lots.state import UNBOUNDED, Lived, Lot, Parcel
from events.quantity import NotUnderstood, convert, parse
from events.readings.climate import OUTDOORS
from events.readings.harms import air_of, harms, percent, row_of
from events.readings.lived import Keeping, Path
from events.readings.neighbours import Clash, Neighbours
from events.readings.stamped import maker_of
from events.readings.starting import started
from events.tables import Keeping as KeepingRow

YEAR = 366
LIGHT = frozenset({"light", "yes", "sun", "sunny", "bright", "window", "lit"})
DAMP = frozenset({"damp", "yes", "humid", "moist", "wet"})
DRY = frozenset({"dry", "no"})
DRY_FORMS = frozenset({"dry-staple", "dried", "freeze-dried"})
OF_ITS_OWN = frozenset({"light", "damp", "room"})
"""Facts by which a shelf is otherwise than its room."""
MOIST, ARID = 80, 75
"""Per cent of humidity that a row asks for at least, or at most, to want a damp or a dry place."""


class Placement(Struct, frozen=True, kw_only=True):
    """How a lot would keep in a store. Times in Unix milliseconds, None: not to be said."""

    store: str
    here: bool
    """some of it stands there now"""
    from_ms: int | None
    likely_ms: int | None
    to_ms: int | None
    life: Answer
    milli: int | None
    """mean temperature there until its *from*, thousandths of a degree Celsius; None: not known"""
    rests: str
    """what the temperature rests on: read, stated, assumed"""
    harms: tuple[str, ...]
    clashes: tuple[Clash, ...]
    room: str
    """what is left of it, as far as it is known"""


def placements(keeping: Keeping, lot: Lot, now_ms: int, stores: Iterable[str]) -> list[Placement]:
    """The lot in each of those stores from now on, longest life first."""
    beside = Neighbours(keeping.book, keeping.climates, keeping.lives)
    parcel = max(lot.parcels, key=lambda one: (one.opened is None, one.n, one.high))
    found = [_placed(keeping, beside, lot, parcel, now_ms, store) for store in stores]
    return sorted(found, key=lambda one: (-(one.from_ms or -1), len(one.clashes), one.store))


def stores_of(keeping: Keeping) -> list[str]:
    """Every store that food may be carried to: set up, no bed, not the outdoors."""
    settings = keeping.book.settings
    tops = {store for store in settings.stores if store and store != OUTDOORS}
    return sorted(store for store in tops if settings.kind_of(store) != "ground")


def stores_for(keeping: Keeping, lot: Lot) -> list[str]:
    """Those among which a lot may be placed: no shelf that is as its room is, and a freezer only for
    what is frozen or stands there.
    """
    settings, climates = keeping.book.settings, keeping.climates
    frozen = keeping.lives.form(keeping.question(lot, "", opened=False)) == "frozen"
    here = {parcel.store for parcel in lot.parcels if parcel.high}

    def differs(store: str) -> bool:
        air = climates.air(store)
        own = bool(OF_ITS_OWN & settings.stores.get(store, {}).keys())
        return air == store or own or climates.curve(store) is not climates.curve(air)

    return [
        store for store in stores_of(keeping)
        if differs(store)
        and (frozen or settings.kind_of(store) != "freezer" or any(within(p, store) for p in here))
    ]  # fmt: skip


def path_in(keeping: Keeping, lot: Lot, parcel: Parcel, store: str, now_ms: int) -> Path:
    """The path that a parcel would have, carried to a store now."""
    lived = parcel.lived
    if store != parcel.store:
        lived = Lived(store, max(now_ms, lived.since), lived)
    opened = parcel.opened
    past = keeping.past(lot)
    start = started(lot, maker_of(lot))[0] if past is None else past.start
    if opened is not None:
        start = opened, opened
    return keeping.path(keeping.kept(lot), lot, lived, start, opened=opened is not None)


def _placed(
    keeping: Keeping, beside: Neighbours, lot: Lot, parcel: Parcel, now_ms: int, store: str
) -> Placement:
    path = path_in(keeping, lot, parcel, store, now_ms)
    from_ms = path.when("low")
    to_ms = None if from_ms is None else path.when("high")
    answer, milli = path.answer()
    climates, today = keeping.climates, now_ms // DAY
    last = today + YEAR if to_ms is None else max(today, to_ms // DAY)
    air = air_of(climates.curve(store), today, last, climates.humidity(store, now_ms))
    question = keeping.question(lot, store, opened=parcel.opened is not None)
    said = [
        *harms(keeping.lives, question, row_of(answer), air),
        *_place(keeping, lot, store, answer),
    ]
    return Placement(
        store=store,
        here=any(within(one.store, store) and one.high for one in lot.parcels),
        from_ms=from_ms,
        likely_ms=None if from_ms is None or to_ms is None else (from_ms + to_ms) // 2,
        to_ms=to_ms,
        life=answer,
        milli=milli,
        rests=climates.rests_on(store, today),
        harms=tuple(said),
        clashes=tuple(beside.clashes(lot, store)),
        room=room_left(keeping, store),
    )


# -- light, damp, room -------------------------------------------------------------------------


def _place(keeping: Keeping, lot: Lot, store: str, answer: Answer) -> list[str]:
    settings = keeping.book.settings
    light, damp = (_word(settings.fact_of(store, fact)) for fact in ("light", "damp"))
    rows: tuple[KeepingRow, ...] = answer.fitting if isinstance(answer, Life) else ()
    said: list[str] = []
    dark = next((row for row in rows if "dark" in f"{row.packaging} {row.temp_as_printed}"), None)
    if light in LIGHT and dark is not None:
        said.append(f"light there, and it is printed for the dark ({_publisher(keeping, dark)})")
    row = row_of(answer)
    form = keeping.lives.form(keeping.question(lot, store, opened=False))
    if damp in DAMP and form in DRY_FORMS:
        said.append("damp there: dry food draws water (printed for a dry place)")
    elif (
        row is not None and damp in DAMP and row.rh_high_pct is not None and row.rh_high_pct <= ARID
    ):
        said.append(f"damp there, and it is printed for {_humidity(row)}")
    elif row is not None and damp in DRY and row.rh_low_pct is not None and row.rh_low_pct >= MOIST:
        said.append(f"dry there, and it is printed for {_humidity(row)}: it shrivels")
    return said


def _word(said: str | None) -> str:
    return (said or "").casefold().strip()


def _publisher(keeping: Keeping, row: KeepingRow) -> str:
    return keeping.tables.sources[row.source_id].publisher.partition(" (")[0]


def _humidity(row: KeepingRow) -> str:
    low, high = row.rh_low_pct or 0, row.rh_high_pct or 100
    return percent(low * 10) if low == high else f"{low}-{high} %"


def room_left(keeping: Keeping, store: str) -> str:
    """How much room is left in a store that says how much it has; "" where that is not known.

    What is there counts where it is kept in the same unit, or in one of the same measure.
    """
    said = keeping.book.settings.stores.get(store, {}).get("room", "")
    if not said:
        return ""
    try:
        room = parse(said, ())
    except NotUnderstood:
        return ""
    if not room.n or room.unit is None:
        return ""
    taken, other = Fraction(0), False
    for lot in keeping.book.lots.values():
        there = sum(min(p.high, UNBOUNDED) for p in lot.parcels if within(p.store, store))
        if not there:
            continue
        same = convert(Fraction(there, GRAIN), lot.unit, room.unit)
        other |= same is None
        taken += same or 0
    more = ", other things there not counted" if other else ""
    return f"room for {max(0, int(room.n - taken))} more of {room.text}{more}"
